"""Every pair of ink and ground passes WCAG 2.2 AA, in every light, as the style sheet has it.

The formula is that of WCAG 2.2, "relative luminance" and "contrast ratio"; 4.5:1 is success
criterion 1.4.3 (text), 3:1 is 1.4.11 (what a control or a graphic is known by).
"""

import re
from pathlib import Path

import pytest

CSS = Path(__file__).parents[2] / "static" / "css"
TEXT, GRAPHIC = 4.5, 3.0

GROUNDS = ("paper", "leaf", "shade", "day", "twilight", "night")
PAIRS = [
    *((ink, ground, TEXT) for ink in ("ink", "accent") for ground in GROUNDS),
    *(("soft", ground, TEXT) for ground in ("paper", "leaf", "shade")),
    ("on-fill", "fill", TEXT),
    ("on-alarm", "alarm", TEXT),
    ("alarm", "on-alarm", TEXT),
    ("edge", "paper", GRAPHIC),
    ("edge", "leaf", GRAPHIC),
    ("sun", "dark", GRAPHIC),
]
LIGHTS = ("light", "dark", "system", "red")


def themes() -> dict[str, dict[str, str]]:
    """The colours of each light, read from tokens.css."""
    text = (CSS / "tokens.css").read_text()
    found = {}
    for name, body in re.findall(r':root\[data-light="(\w+)"\] \{(.*?)\}', text, re.S):
        found[name] = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", body))
    return found


def luminance(colour: str) -> float:
    """Relative luminance of #rrggbb."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_the_standards_own_ends() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    # The lightest grey that passes, and the next, which fails: widely quoted, from memory.
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("light", LIGHTS)
def test_every_pair_passes_in_every_light(light: str) -> None:
    colours = themes()[light]
    low = [
        f"{ink} on {ground}: {contrast(colours[ink], colours[ground]):.2f} < {least}"
        for ink, ground, least in PAIRS
        if contrast(colours[ink], colours[ground]) < least
    ]
    assert low == []


def test_system_repeats_dark() -> None:
    assert themes()["system"] == themes()["dark"]


def test_red_light_lights_only_the_red_channel() -> None:
    assert {colour[3:] for colour in themes()["red"].values()} == {"0000"}


def test_no_colour_stands_outside_the_tokens() -> None:
    """So that the pairs above are all there are. Paper has its own black and white."""
    for sheet in CSS.glob("*.css"):
        if sheet.name not in ("tokens.css", "print.css"):
            assert not re.findall(r"#[0-9a-fA-F]{3,8}\b|rgba?\(|hsla?\(", sheet.read_text()), sheet
