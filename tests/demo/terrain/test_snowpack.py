"""Snow, ice and water sums against the figures of their sources and against closed forms."""

import numpy as np
import pytest

from trapline.demo.terrain.snowpack import (
    COLD_LIMIT_KG_M3,
    MELT_MM_PER_DEGREE_DAY,
    SETTLE_HOURS,
    fresh_density,
    ice,
    level,
    pack,
    snow_share,
)


def test_half_of_it_is_snow_at_1_2_degrees() -> None:
    """Dai 2008, Geophys. Res. Lett. 35:L12802, abstract: F > 50 % for Ts <= 1.2 °C over land, and
    not negligible (F > 5 %) for Ts <= 3.8 °C; the transition lies between -2 and +4 °C."""
    cold, half, rare, warm = snow_share(np.array([-2.0, 1.2, 3.0, 4.0]))
    assert half == pytest.approx(0.5)
    assert rare > 0.05
    assert cold > 0.95 and warm < 0.05


def test_new_snow_is_light_when_it_is_cold() -> None:
    """Fresh snow 50-150 kg/m³: common range (UBC ATSC 113, "Density of newly-fallen snow")."""
    air = np.linspace(-40, 8, 100)
    density = fresh_density(air)
    assert np.all(np.diff(density) >= 0)
    assert density.min() == pytest.approx(67.92, abs=0.01)  # the formula's cold limit, from memory
    assert density.max() <= 150


def test_a_single_fall_settles_as_the_exponential_says() -> None:
    hours = 400
    air, snow = np.full(hours, -15.0), np.zeros(hours)
    snow[0] = 20.0
    water, depth, left = pack(air, np.zeros(hours), snow)
    start = 67.92 + 51.25 * np.exp(-15 / 2.59)
    density = COLD_LIMIT_KG_M3 + (start - COLD_LIMIT_KG_M3) * np.exp(
        -np.arange(hours) / SETTLE_HOURS
    )
    assert depth == pytest.approx(20.0 / density)
    assert np.all(water == 20.0) and np.all(left == 0)
    assert np.all(np.diff(depth) < 0)


def test_one_day_at_one_degree_melts_the_published_2_42_mm() -> None:
    """Kuusisto 1980, Nordic Hydrology 11:235-244, abstract: 2.42 mm/°C/d over all forest sites."""
    air = np.concatenate([[-10.0], np.ones(24)])
    snow = np.zeros(25)
    snow[0] = 30.0
    water, _, left = pack(air, np.zeros(25), snow)
    assert 30.0 - water[-1] == pytest.approx(2.42) == left.sum()
    assert MELT_MM_PER_DEGREE_DAY == 2.42


def test_water_is_neither_made_nor_lost() -> None:
    rng = np.random.default_rng(4)
    air = rng.normal(-2, 6, 3000)
    wet = np.where(rng.random(3000) < 0.1, rng.exponential(0.8, 3000), 0)
    share = snow_share(air)
    water, depth, left = pack(air, wet * (1 - share), wet * share)
    assert water[-1] + left.sum() == pytest.approx(wet.sum(), rel=1e-3)
    assert water.min() >= 0 and depth.min() >= 0
    lying = water > 0
    assert np.all((depth > 0) == lying)
    density = water[lying] / depth[lying]
    assert density.min() > 50 and density.max() < 351


def test_ice_is_stefan_s_root_of_degree_days() -> None:
    """EM 1110-2-1612 after Michel 1971 (second-hand): 1.7-2.4 cm per root degree-day for an
    average lake with snow. 100 days at -15 °C: 1,500 degree-days, so 66-93 cm; the heat that a
    lake has to lose first takes a little off."""
    thick = ice(np.full(2400, -15.0))
    assert 0.66 < thick[-1] < 0.93
    assert np.all(np.diff(thick) >= 0) and thick[0] == 0


def test_a_thaw_takes_ice_away_and_a_warm_autumn_gives_none() -> None:
    thick = ice(np.concatenate([np.full(480, -5.0), np.full(480, 4.0)]))
    assert thick.max() == thick[479] > 0.1
    assert thick[-1] < thick[479] / 2
    assert ice(np.full(2000, 1.0)).max() == 0


def test_the_creek_falls_in_a_dry_frost_and_rises_with_rain_and_new_ice() -> None:
    hours = 24 * 60
    dry, bare = np.zeros(hours), np.zeros(hours)
    falling = level(dry, bare)
    assert falling[0] == 0 and np.all(np.diff(falling) < 0)
    rain = dry.copy()
    rain[100] = 10.0
    raised = level(rain, bare) - falling
    assert raised[99] == 0 and raised[100] == pytest.approx(0.08)
    assert raised[100 + 24 * 6] == pytest.approx(0.08 / np.e)  # drains with its storm time
    frozen = level(dry, np.full(hours, 0.3)) - falling
    assert abs(frozen[-1] - frozen[0]) < 1e-9  # ice that is there from the start changes nothing
