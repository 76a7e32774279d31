"""Quantities in metric or imperial units: exact factors, no words. Stored always in SI.

By definition: inch 25.4 mm, avoirdupois pound 0.453 592 37 kg, standard gravity
9.806 65 m/s2. Source: NIST Special Publication 811 (2008), appendix B.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Quantity = Literal[
    "size", "wire", "depth", "distance", "mass", "temperature", "load", "way", "area"
]

INCH_M = 0.0254
FOOT_M = 0.3048
MILE_M = 1609.344  # international mile: 5280 feet
ACRE_M2 = 4046.856_422_4  # international acre: 43 560 square feet
POUND_KG = 0.453_592_37
POUND_FORCE_N = 4.448_221_615_260_5  # pound x standard gravity


@dataclass(frozen=True)
class Unit:
    """SI = shown x `si` + `zero`; shown to so many decimals."""

    symbol: str
    si: float
    decimals: int
    zero: float = 0.0


_METRIC: dict[Quantity, Unit] = {
    "size": Unit("cm", 0.01, 1),
    "wire": Unit("mm", 0.001, 2),
    "depth": Unit("cm", 0.01, 0),
    "distance": Unit("m", 1.0, 0),
    "mass": Unit("kg", 1.0, 2),
    "temperature": Unit("°C", 1.0, 0),
    "load": Unit("N", 1.0, 0),
    "way": Unit("km", 1000.0, 2),
    "area": Unit("ha", 10_000.0, 1),
}
_IMPERIAL: dict[Quantity, Unit] = {
    "size": Unit("in", INCH_M, 1),
    "wire": Unit("in", INCH_M, 3),
    "depth": Unit("in", INCH_M, 1),
    "distance": Unit("ft", FOOT_M, 0),
    "mass": Unit("lb", POUND_KG, 2),
    "temperature": Unit("°F", 5 / 9, 0, -160 / 9),
    "load": Unit("lbf", POUND_FORCE_N, 0),
    "way": Unit("mi", MILE_M, 2),
    "area": Unit("ac", ACRE_M2, 1),
}


def unit_of(quantity: Quantity, units: str) -> Unit:
    """The unit in which a person who chose `units` (metric, imperial) sees a quantity."""
    return (_IMPERIAL if units == "imperial" else _METRIC)[quantity]


def from_si(value: float, quantity: Quantity, units: str) -> float:
    """An SI value in the shown unit, not rounded."""
    unit = unit_of(quantity, units)
    return (value - unit.zero) / unit.si


def to_si(value: float, quantity: Quantity, units: str) -> float:
    """A value in the shown unit as SI, rounded to a millionth so that 25.4 cm is 0.254 m."""
    unit = unit_of(quantity, units)
    return round(value * unit.si + unit.zero, 6)
