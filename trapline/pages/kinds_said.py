"""What was said of a kind of device or part, time by time, as a page tells it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext_lazy

from trapline.gear.formats.columns import built_of_text
from trapline.gear.selectors import KindSaid
from trapline.ground.units_shown import Quantity, from_si, unit_of
from trapline.wording.vocabulary import label_of

# Each field of the acts: its words, and how its value is told.
WORDS = {
    "name": gettext_lazy("Name"),
    "role": gettext_lazy("Part"),
    "device_class": gettext_lazy("Class"),
    "action": gettext_lazy("What it does"),
    "skill": gettext_lazy("Placing it asks for a sign-off in"),
    "parts": gettext_lazy("Built of"),
    "diameter_m": gettext_lazy("Diameter"),
    "construction": gettext_lazy("Construction"),
    "breaking_load_n": gettext_lazy("Breaking load"),
    "breaking_load_source": gettext_lazy("Who says so"),
    "jaw_spread_m": gettext_lazy("Jaw spread, measured inside"),
    "mass_kg": gettext_lazy("Mass of one"),
    "volume_m3": gettext_lazy("Volume of one, as carried (litres)"),
    "set_up_s": gettext_lazy("Minutes to set one up"),
    "check_s": gettext_lazy("Minutes to check one"),
    "price": gettext_lazy("Price of one"),
    "fewest": gettext_lazy("Fewest in stock, before more are bought"),
    "life_nights": gettext_lazy("Service life, in nights in a set"),
}
QUANTITIES: Mapping[str, Quantity] = {
    "diameter_m": "wire", "breaking_load_n": "load", "jaw_spread_m": "size", "mass_kg": "mass",
}  # fmt: skip
TIMES = {"volume_m3": 1000.0, "set_up_s": 1 / 60, "check_s": 1 / 60, "price": 1.0}
CODES = {"role": "part_role", "device_class": "device_class", "action": "action"}
NOTHING = "–"


@dataclass(frozen=True)
class KindChange:
    """One time that a kind was said. `fields`: words, what they said before, what they say since;

    none of the first time.
    """

    at: datetime
    by: str
    first: bool
    fields: list[tuple[str, str, str]]


def changes_of(said: Sequence[KindSaid], units: str, skills: Mapping[str, str]) -> list[KindChange]:
    """Time by time, the newest first. skills: by id, as text."""
    told = [_told(one.body, units, skills) for one in said]
    found = []
    for number, one in enumerate(said):
        before = told[number - 1] if number else {}
        fields = [
            (str(words), before.get(name, NOTHING), told[number].get(name, NOTHING))
            for name, words in WORDS.items()
            if number and before.get(name, NOTHING) != told[number].get(name, NOTHING)
        ]
        found.append(KindChange(one.at, one.by, not number, fields))
    return found[::-1]


def _told(body: Mapping[str, Any], units: str, skills: Mapping[str, str]) -> dict[str, str]:
    """Each field that says something, as words."""
    return {
        name: _value(name, body[name], units, skills)
        for name in WORDS
        if body.get(name) not in (None, "", [])
    }


def _value(name: str, value: Any, units: str, skills: Mapping[str, str]) -> str:
    if name in QUANTITIES:
        unit = unit_of(QUANTITIES[name], units)
        shown = from_si(float(value), QUANTITIES[name], units)
        return f"{round(shown, unit.decimals + 1):g} {unit.symbol}"
    if name in TIMES:
        return f"{round(float(value) * TIMES[name], 3):g}"
    if name in CODES:
        return str(label_of(CODES[name], value))
    if name == "parts":
        whole = {"count": 1, "needed": True, "after_catch": "stays"}
        parts = sorted(({**whole, **one} for one in value), key=lambda one: str(one["role"]))
        return built_of_text(parts)
    return skills.get(str(value), str(value)) if name == "skill" else str(value)
