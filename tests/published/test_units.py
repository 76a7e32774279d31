"""Conversion factors of NIST Special Publication 811 (2008), appendix B.8."""

from __future__ import annotations

import pytest

from trapline.calc.units import Quantity, from_si, to_si


@pytest.mark.parametrize(
    ("quantity", "figure", "si"),
    [
        ("size", 1.0, 2.54e-2),  # inch, exact
        ("distance", 1.0, 3.048e-1),  # foot, exact
        ("mass", 1.0, 4.535924e-1),  # pound, avoirdupois
        ("load", 1.0, 4.448222),  # pound-force
        ("temperature", 32.0, 0.0),  # t/C = (t/F - 32) / 1.8
        ("temperature", -40.0, -40.0),
        ("temperature", 165.0, 73.888889),
    ],
)
def test_an_imperial_figure_is_the_printed_si_value(
    quantity: Quantity, figure: float, si: float
) -> None:
    assert to_si(figure, quantity, "imperial") == pytest.approx(si, rel=5e-7, abs=1e-6)
    assert from_si(si, quantity, "imperial") == pytest.approx(figure, rel=5e-7, abs=1e-5)
