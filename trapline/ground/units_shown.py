"""Quantities as a person wants them shown: metric or imperial. Stored always in SI.

The foot, the inch and the pound are the exact ones of the 1959 agreement
(NIST SP 811, appendix B: 0.3048 m, 0.0254 m, 0.453 592 37 kg).
"""

from dataclasses import dataclass
from typing import Literal

from django.utils.formats import number_format

Quantity = Literal["size", "wire", "depth", "distance", "mass", "temperature", "load"]

INCH_M, FOOT_M, POUND_KG, POUND_FORCE_N = 0.0254, 0.3048, 0.45359237, 4.4482216152605


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
}
_IMPERIAL: dict[Quantity, Unit] = {
    "size": Unit("in", INCH_M, 1),
    "wire": Unit("in", INCH_M, 3),
    "depth": Unit("in", INCH_M, 1),
    "distance": Unit("ft", FOOT_M, 0),
    "mass": Unit("lb", POUND_KG, 2),
    "temperature": Unit("°F", 5 / 9, 0, -160 / 9),
    "load": Unit("lbf", POUND_FORCE_N, 0),
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


def shown(value: float | None, quantity: Quantity, units: str) -> str:
    """Number and unit, e.g. `25.4 cm` (with a space that does not break); empty for None."""
    if value is None:
        return ""
    unit = unit_of(quantity, units)
    number = round(from_si(value, quantity, units), unit.decimals) + 0.0  # no minus zero
    text = number_format(number, decimal_pos=unit.decimals, use_l10n=True)
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"{text}\u00a0{unit.symbol}"
