"""Quantities as people read them: NIST SP 811, appendix B.8, for the factors."""

import pytest
from django.utils.translation import override

from trapline.ground.units_shown import shown


@pytest.mark.parametrize(
    ("value", "quantity", "units", "told"),
    [
        (0.254, "size", "metric", "25.4\u00a0cm"),
        (0.254, "size", "imperial", "10\u00a0in"),  # 1 in = 0.0254 m, exactly
        (0.3048, "distance", "imperial", "1\u00a0ft"),  # exactly
        (0.45359237, "mass", "imperial", "1\u00a0lb"),  # exactly
        (-40.0, "temperature", "imperial", "-40\u00a0°F"),  # where both scales meet
        (0.0, "temperature", "imperial", "32\u00a0°F"),
        (-0.2, "temperature", "metric", "0\u00a0°C"),  # and not minus nought
        (4448.2216152605, "load", "imperial", "1000\u00a0lbf"),
        (None, "mass", "metric", ""),
    ],
)
def test_a_quantity_is_shown_with_its_unit(
    value: float | None, quantity: str, units: str, told: str
) -> None:
    with override("en"):
        assert shown(value, quantity, units).replace(",", "") == told  # type: ignore[arg-type]
