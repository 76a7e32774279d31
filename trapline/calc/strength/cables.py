"""Minimum breaking loads of small wire rope, as published: constructions 7x7, 7x19, 1x19.

The table is cables.csv, with the source of each row. `checked` rows were read in the text named
(loads and sizes; masses are trade figures from memory throughout); the others are stated from
memory and are to be held against the maker's certificate before anybody relies on them.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.resources import files

from trapline.calc.units import FOOT_M, INCH_M, POUND_FORCE_N, POUND_KG

# A rope may be thicker than its size, never thinner: MIL-W-83420 allows 0.010 in more at 1/16 in
# and 0.014 in at 1/8 in. A size is known when a diameter lies within a part of that.
_SAME_M = 0.0004


@dataclass(frozen=True)
class Cable:
    """One construction, material and size. SI."""

    construction: str
    material: str
    size: str  # as the trade names it, in inches: 3/32
    diameter_m: float
    breaking_load_n: float
    mass_kg_per_m: float
    checked: bool
    source: str


@cache
def cables() -> tuple[Cable, ...]:
    """The whole table, in its order."""
    text = files("trapline.calc.strength").joinpath("cables.csv").read_text(encoding="utf-8")
    return tuple(_cable(row) for row in csv.DictReader(text.splitlines()))


def _cable(row: dict[str, str]) -> Cable:
    return Cable(
        row["construction"],
        row["material"],
        row["diameter_in"],
        float(Fraction(row["diameter_in"])) * INCH_M,
        float(row["breaking_load_lbf"]) * POUND_FORCE_N,
        float(row["mass_lb_per_100_ft"]) * POUND_KG / (100 * FOOT_M),
        row["checked"] == "yes",
        row["source"],
    )


def published(construction: str, diameter_m: float) -> tuple[Cable, ...]:
    """The rows of this construction whose size is nearest to the diameter, weakest first.

    Empty where the construction is not in the table or no size lies within 0.4 mm: sizes of the
    trade that no standard lists are none the worse for that.
    """
    alike = [one for one in cables() if one.construction == construction.strip().lower()]
    near = min((abs(one.diameter_m - diameter_m) for one in alike), default=1.0)
    if near > _SAME_M:
        return ()
    same = [one for one in alike if abs(abs(one.diameter_m - diameter_m) - near) < 1e-9]
    return tuple(sorted(same, key=lambda one: one.breaking_load_n))
