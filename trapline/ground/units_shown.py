"""Quantities as a person wants them shown: number and symbol. The factors: calc.units."""

from django.utils.formats import number_format

from trapline.calc.units import Quantity, from_si, to_si, unit_of

__all__ = ["Quantity", "from_si", "shown", "to_si", "unit_of"]


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
