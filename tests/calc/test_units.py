"""Units there and back."""

from __future__ import annotations

from typing import get_args

import pytest

from trapline.calc.units import Quantity, from_si, to_si, unit_of


@pytest.mark.parametrize("units", ["metric", "imperial"])
@pytest.mark.parametrize("quantity", get_args(Quantity))
def test_what_is_typed_is_what_is_shown_again(quantity: Quantity, units: str) -> None:
    decimals = unit_of(quantity, units).decimals
    for typed in (0, 1, 7, 12.5, 25.4, 330):
        figure = round(typed, decimals)
        assert round(from_si(to_si(figure, quantity, units), quantity, units), decimals) == figure


def test_a_metric_figure_is_stored_without_rounding_dust() -> None:
    assert to_si(25.4, "size", "metric") == 0.254
    assert to_si(2.4, "wire", "metric") == 0.0024
