"""The season's weather.

Published figures for the country between (read second-hand in web pages): Environment Canada's
normals 1971-2000 for the Yukon, January's average daily low -22 °C (Whitehorse) to -29 °C (Watson
Lake) and a year's snowfall 145-197 cm; daily means at Otter Falls (61 N, 137 W) in Wikipedia's
article: October -1.5, November -11.7, December -13.7, January -16.1, February -12.2, March -7.7.
The valley is invented; it has to lie near these, not on them.
"""

from datetime import date

import numpy as np
import pytest
from numpy.typing import NDArray

from trapline.demo.terrain.weather import DAILY, HOURLY, daily, freeze_up, weather

OTTER_FALLS_C = {10: -1.5, 11: -11.7, 12: -13.7, 1: -16.1, 2: -12.2, 3: -7.7}
START, DAYS = date(2025, 10, 1), 182
SEEDS = range(16)


@pytest.fixture(scope="module")
def seasons() -> list[NDArray[np.void]]:
    return [weather(seed, START, DAYS) for seed in SEEDS]


def test_monthly_means_are_those_of_the_country(seasons: list[NDArray[np.void]]) -> None:
    days = np.concatenate([daily(season) for season in seasons])
    month = days["day"].astype("datetime64[M]").astype(int) % 12 + 1
    for number, nearby in OTTER_FALLS_C.items():
        mean = days["mean_c"][month == number].mean()
        assert nearby - 6.5 < mean < nearby + 4, number
    assert -29 < days["low_c"][month == 1].mean() < -20
    assert days["low_c"].min() < -40 < days["low_c"].max() < 15


def test_a_winter_brings_a_winter_s_snow(seasons: list[NDArray[np.void]]) -> None:
    fallen = [float(season["snowfall_cm"].sum()) for season in seasons]
    deepest = [float(season["snow_m"].max()) for season in seasons]
    assert 130 < np.mean(fallen) < 210
    assert min(fallen) > 80 and max(fallen) < 330
    assert 0.4 < np.mean(deepest) < 0.9  # common practice: knee to thigh deep by March
    assert np.std(deepest) > 0.05  # no two winters are alike


def test_snow_is_never_below_nothing_and_settles_between_falls(
    seasons: list[NDArray[np.void]],
) -> None:
    for season in seasons:
        depth = season["snow_m"]
        assert depth.min() >= 0
        dry = (season["snowfall_cm"][1:] == 0) & (depth[1:] > 0)
        assert np.all(np.diff(depth)[dry] <= 1e-12)
        assert np.all(np.diff(depth) <= season["snowfall_cm"][1:] / 100 + 1e-12)


def test_the_lake_freezes_in_october_or_november_and_stays_so(
    seasons: list[NDArray[np.void]],
) -> None:
    for season in seasons:
        day = freeze_up(season)
        assert day is not None and date(2025, 10, 1) <= day <= date(2025, 11, 25)
        assert 0.6 < season["ice_m"][-1] < 1.2
        after = season["time"] > np.datetime64(day, "h") + 24
        assert season["ice_m"][after].min() > 0


def test_a_lake_that_does_not_freeze_has_no_day() -> None:
    assert freeze_up(weather(1, date(2025, 8, 20), 20)) is None


def test_some_days_thaw_and_some_nights_bury_a_set(seasons: list[NDArray[np.void]]) -> None:
    """What the demo needs: falls of 15 cm overnight, thaws, and a creek that drops."""
    days = np.concatenate([daily(season) for season in seasons])
    assert (days["snowfall_cm"] >= 15).sum() >= len(SEEDS)  # one a winter at the least
    winter = (days["day"] >= np.datetime64("2025-11-15")) & (days["high_c"] > 0)
    assert winter.sum() >= len(SEEDS)
    spans = [float(np.ptp(season["water_m"])) for season in seasons]
    assert 0.2 < np.median(spans) < 1.0


def test_the_same_seed_gives_the_same_bytes(seasons: list[NDArray[np.void]]) -> None:
    assert weather(3, START, DAYS).tobytes() == seasons[3].tobytes()
    assert weather(4, START, DAYS).tobytes() != seasons[3].tobytes()
    assert (
        weather(3, date(2026, 10, 1), 30)["air_c"].tobytes() != seasons[3]["air_c"][:720].tobytes()
    )


def test_stretches_of_one_season_agree(seasons: list[NDArray[np.void]]) -> None:
    later = weather(5, date(2026, 1, 10), 20)
    skip = (date(2026, 1, 10) - START).days * 24
    assert np.array_equal(later, seasons[5][skip : skip + 480])


def test_hours_and_days_are_complete(seasons: list[NDArray[np.void]]) -> None:
    season = seasons[0]
    assert season.dtype == HOURLY and len(season) == DAYS * 24
    assert season["time"][0] == np.datetime64("2025-10-01T00", "h")
    assert np.all(np.diff(season["time"]).astype(int) == 1)
    days = daily(season)
    assert days.dtype == DAILY and len(days) == DAYS
    assert days["snowfall_cm"].sum() == pytest.approx(season["snowfall_cm"].sum())
    assert np.all((days["low_c"] <= days["mean_c"]) & (days["mean_c"] <= days["high_c"]))
    assert days["snow_m"][-1] == season["snow_m"][-1]
    assert all(np.isfinite(season[name]).all() for name in HOURLY.names or () if name != "time")


def test_afternoons_are_warmer_than_mornings(seasons: list[NDArray[np.void]]) -> None:
    air = np.concatenate([season["air_c"] for season in seasons]).reshape(-1, 24).mean(axis=0)
    # 15:00 sun time at 128.4 W is about 23:30 UTC.
    assert air.argmax() in (22, 23, 0)
    assert air.argmin() in (10, 11, 12)


@pytest.mark.parametrize(
    ("start", "days", "said"),
    [
        (date(2025, 10, 1), 0, "ask for one or more"),
        (date(2025, 10, 1), 319, "ends after 318 days"),
        (date(2026, 8, 14), 2, "ends after 1 days"),
    ],
)
def test_a_stretch_that_cannot_be_made_is_refused(start: date, days: int, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        weather(1, start, days)
