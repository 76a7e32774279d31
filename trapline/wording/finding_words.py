"""A finding in words: what is wrong, what mends it, and the figures it rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from trapline.calc.clock import to_datetime
from trapline.calc.units import Quantity
from trapline.ground.units_shown import shown
from trapline.ground.words_of_findings import (
    BESIDE,
    BOUND_WORDS,
    FIGURE_WORDS,
    FINDING_WORDS,
    WHOSE,
)
from trapline.wording.vocabulary import label_of

# In what a figure is shown; lengths that are not here are sizes.
QUANTITIES: dict[str, Quantity] = {
    "snow_change_m": "depth", "depth_m": "depth", "measured_m": "depth", "ice_m": "depth",
    "level_change_m": "depth", "distance_m": "distance", "cable_m": "wire",
}  # fmt: skip
BOUNDS_IN: dict[str, Quantity] = {
    "too_near": "distance", "cable_thin": "wire", "too_shallow": "depth", "snowed_in": "depth",
}  # fmt: skip
BOUND_NAMES = ("at_least_m", "at_most_m", "from_m")
ROLE_CODES = (
    "part_missing", "part_weak", "breakaway_too_strong", "load_not_known", "no_swivel",
    "no_breakaway", "part_past_life",
)  # fmt: skip


@dataclass(frozen=True)
class Figure:
    """One figure a finding rests on: its name, and its text or the instant it is."""

    name: str
    text: str
    at: datetime | None = None


@dataclass(frozen=True)
class Told:
    """A finding in the language in force and in somebody's units."""

    title: str
    sentence: str
    remedy: str
    beside: str
    figures: tuple[Figure, ...]


def told(
    code: str,
    discriminator: str,
    numbers: Mapping[str, Any],
    *,
    species: str | None = None,
    units: str = "metric",
) -> Told:
    """species: the rulebook's name of the species that the discriminator names, if it does."""
    said = FINDING_WORDS[code]
    values: dict[str, Any] = {
        name: _text(code, name, value, units) for name, value in numbers.items()
    }
    values["what"] = _what(code, discriminator, species)
    if code == "limit_reached":
        values["what"] = _limited(numbers, species)
    values["whose"] = str(WHOSE.get(discriminator, WHOSE["responsible"]))
    for name, words in BOUND_WORDS.items():
        if name in values:
            values["bound"] = str(words) % {"bound": values[name]}
    kept = _Kept(values)
    return Told(
        str(said.title) % kept,
        str(said.sentence) % kept,
        str(said.remedy) % kept,
        str(BESIDE.get(code, "")),
        tuple(_figures(code, numbers, units)),
    )


class _Kept(dict[str, Any]):
    """A figure that is not known shows as an ellipsis."""

    def __missing__(self, key: str) -> str:
        return "…"


def _what(code: str, discriminator: str, species: str | None) -> str:
    first = discriminator.split(":", maxsplit=1)[0]
    if code == "too_near":
        return label_of("feature", first)
    if code in ROLE_CODES:
        return label_of("part_role", first).lower()
    return species or first


def species_of(discriminator: str, numbers: Mapping[str, Any]) -> str:
    """The code of the species that a finding is about, if it is about one."""
    return str(next(iter(numbers.get("species", ())), discriminator.split(":", maxsplit=1)[0]))


def _limited(numbers: Mapping[str, Any], species: str | None) -> str:
    """Of which animals a limit speaks: the first by name, and how many others."""
    codes = numbers.get("species", ())
    if not codes:
        return _("All animals")
    first = species or codes[0]
    if len(codes) == 1:
        return str(first)
    return _("%(first)s and %(n)s more") % {"first": first, "n": len(codes) - 1}


def _figures(code: str, numbers: Mapping[str, Any], units: str) -> list[Figure]:
    found = []
    for name, value in numbers.items():
        if name not in FIGURE_WORDS:
            continue
        at = to_datetime(value) if name.endswith("_us") else None
        found.append(Figure(str(FIGURE_WORDS[name]), _text(code, name, value, units), at))
    return found


def _text(code: str, name: str, value: Any, units: str) -> str:
    if name in BOUND_NAMES:
        return shown(value, BOUNDS_IN.get(code, "size"), units)
    if name.endswith("_m"):
        return shown(value, QUANTITIES.get(name, "size"), units)
    if name.endswith("_n"):
        return shown(value, "load", units)
    if name.endswith("nights"):
        return f"{value:.0f}"
    if name.endswith("_day"):
        return date_format(date(1970, 1, 1) + timedelta(days=value), "j M Y")
    if name == "within":
        return _("day") if value == "day" else _("season")
    return str(value)
