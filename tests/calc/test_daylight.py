"""The sun against ephem (an ephemeris of its own), and the ribbon against the sun."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from tests.calc import oracle
from trapline.calc.clock import to_datetime
from trapline.calc.daylight import (
    SUN_EVENTS,
    event_us,
    light_at,
    mean_noon_us,
    ribbon,
    sun_times,
)

EPOCH_DAY = date(1970, 1, 1)


def _against_ephem(most_lat: float, count: int, seed: int) -> list[tuple[float | None, bool]]:
    """Seconds off ephem per event; None where only one of the two has the event."""
    rng = np.random.default_rng(seed)
    found: list[tuple[float | None, bool]] = []
    for _ in range(count):
        day = int(rng.integers(7_305, 32_872))  # 1990 to 2059
        place = float(rng.uniform(-most_lat, most_lat)), float(rng.uniform(-180, 180))
        noon = to_datetime(mean_noon_us(day, place[1]))
        for event in SUN_EVENTS:
            ours = event_us(event, day, *place)
            theirs = oracle.sun_event(event, noon, place)
            if ours is None or theirs is None:
                found.append((None, ours is None and theirs is None))
            else:
                found.append((abs((to_datetime(ours) - theirs).total_seconds()), True))
    return found


def test_below_sixty_degrees_the_sun_is_within_eight_seconds_of_ephem() -> None:
    found = _against_ephem(60.0, 700, seed=1)
    assert all(agree for _, agree in found)
    assert max(off for off, _ in found if off is not None) < 8


def test_in_the_far_north_both_agree_but_for_days_when_the_sun_grazes_the_horizon() -> None:
    found = _against_ephem(80.0, 700, seed=2)
    offs = [off for off, _ in found if off is not None]
    assert sum(not agree for _, agree in found) <= len(found) * 0.003
    assert np.quantile(offs, 0.999) < 60


def test_a_sunset_after_midnight_by_the_clock_belongs_to_the_evening_before() -> None:
    # Fairbanks, Alaska, on the longest day: the almanac offices print the sunset of
    # 21 June as on the following day (from memory); ephem gives the instant.
    zone, place = ZoneInfo("America/Anchorage"), (64.84, -147.72)
    sunset = sun_times(date(2025, 6, 21), *place, zone).sunset
    assert sunset is not None
    assert sunset.astimezone(zone).date() == date(2025, 6, 22)
    noon = oracle.noon_on(date(2025, 6, 21), place, zone)
    assert noon is not None
    expected = oracle.sun_event("sunset", noon, place)
    assert expected is not None
    assert abs(sunset - expected) < timedelta(seconds=60)


def test_beside_the_date_line_the_zones_own_date_is_meant() -> None:
    zone, place = ZoneInfo("Pacific/Kiritimati"), (1.87, -157.4)
    times = sun_times(date(2025, 3, 20), *place, zone)
    assert times.sunrise is not None and times.sunset is not None
    assert times.sunrise.astimezone(zone).date() == date(2025, 3, 20)
    assert times.sunset.astimezone(zone).date() == date(2025, 3, 20)


def test_a_skipped_date_has_no_sun() -> None:
    with pytest.raises(ValueError, match="day"):
        sun_times(date(2011, 12, 30), -13.8, -171.8, ZoneInfo("Pacific/Apia"))


def test_polar_day_and_night_are_named_and_have_no_sunrise() -> None:
    midsummer, midwinter = date(2025, 6, 21), date(2025, 12, 21)
    tromso = 69.65, 18.96
    day, night = sun_times(midsummer, *tromso), sun_times(midwinter, *tromso)
    assert (day.kind, day.sunrise, day.sunset, day.dawn) == ("polar_day", None, None, None)
    assert (night.kind, night.sunrise, night.sunset) == ("polar_night", None, None)
    assert night.dawn is not None and night.dusk is not None  # twilight at noon
    assert sun_times(midwinter, 80.0, 18.96).dawn is None  # too far north even for that
    assert sun_times(midwinter, -80.0, 18.96).kind == "polar_day"
    assert sun_times(midsummer, 45.0, 18.96).kind == "rises_and_sets"


def test_white_nights_have_a_sunset_and_no_dusk() -> None:
    times = sun_times(date(2025, 6, 21), 62.0, 10.0)
    assert times.kind == "rises_and_sets"
    assert times.sunset is not None and times.dusk is None


@pytest.mark.parametrize("lat", [-67.0, -33.0, 0.0, 45.0, 59.0, 66.5, 69.65, 85.0, 90.0])
@pytest.mark.parametrize("start", ["2025-01-10T05:17", "2025-03-20T00:00", "2025-06-21T12:00"])
def test_the_ribbon_is_whole_and_shows_the_light_of_every_minute(lat: float, start: str) -> None:
    begin = datetime.fromisoformat(start).replace(tzinfo=UTC)
    pieces = ribbon(begin, 48, lat, 25.0)
    assert pieces[0].start == begin and pieces[-1].end == begin + timedelta(hours=48)
    for left, right in pairwise(pieces):
        assert left.end == right.start and left.light != right.light
    for piece in pieces:
        assert piece.start < piece.end
        at = piece.start + timedelta(minutes=3)  # grazing light is not sure to the minute
        while at < piece.end - timedelta(minutes=3):
            assert light_at(at, lat, 25.0) == piece.light
            at += timedelta(minutes=7)


def test_an_ordinary_winter_ribbon_alternates_night_twilight_day() -> None:
    zone = ZoneInfo("America/Chicago")
    pieces = ribbon(datetime(2025, 12, 1, 0, 0, tzinfo=zone), 24, 47.0, -95.0)
    assert [p.light for p in pieces] == ["night", "twilight", "day", "twilight", "night"]


@pytest.mark.parametrize(
    ("lat", "lon", "field"), [(91, 0, "lat"), (0, 181, "lon"), (float("nan"), 0, "lat")]
)
def test_a_place_off_the_globe_is_refused_by_name(lat: float, lon: float, field: str) -> None:
    with pytest.raises(ValueError, match=field):
        sun_times(date(2025, 1, 1), lat, lon)
    with pytest.raises(ValueError, match=field):
        ribbon(datetime(2025, 1, 1, tzinfo=UTC), 48, lat, lon)
