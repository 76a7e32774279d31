"""Due moments and windows that hang on the sun, against ephem: always on the strict side."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from tests.calc import oracle
from trapline.calc import deadlines as calc
from trapline.calc.daylight import event_us

QUICK = settings(deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))

# 60 s of tolerance, 12 s and 40 s for the cell's breadth and height, 8 s of ephem.
STRICTER_BY = timedelta(seconds=120)

REGIONS = [
    ("America/New_York", 43.0, -74.0),
    ("America/Winnipeg", 53.0, -97.0),
    ("America/Anchorage", 58.0, -150.0),
    ("Europe/Helsinki", 58.0, 25.0),
    ("Asia/Kolkata", 22.0, 78.0),
    ("Asia/Urumqi", 43.0, 87.0),
    ("Asia/Shanghai", 43.0, 87.0),  # two hours off its sun
    ("Australia/Adelaide", -34.0, 138.0),
    ("Pacific/Chatham", -44.0, -176.5),
    ("Pacific/Kiritimati", 1.9, -157.4),
    ("Pacific/Apia", -13.8, -171.8),
    ("Pacific/Auckland", -40.0, 178.5),
]


@st.composite
def places(draw: st.DrawFn) -> tuple[ZoneInfo, tuple[float, float]]:
    name, lat, lon = draw(st.sampled_from(REGIONS))
    offset = st.floats(-1.4, 1.4)
    return ZoneInfo(name), (lat + draw(offset), lon + draw(offset))


VISITS = st.integers(0, 25 * 366 * 86_400).map(
    lambda s: datetime(2013, 1, 1, tzinfo=UTC) + timedelta(seconds=s)
)
SUN_TIMES = st.fixed_dictionaries(
    {
        "sun": st.sampled_from(["dawn", "sunrise", "sunset", "dusk"]),
        "offset_min": st.sampled_from([-120, -30, 0, 30, 120]),
        "otherwise": st.just("13:00"),
    }
)


def _us(at: datetime) -> np.ndarray[Any, np.dtype[np.int64]]:
    return np.array([calc.to_us(at)])


@settings(QUICK, max_examples=500)
@given(places(), VISITS, SUN_TIMES, st.integers(1, 5))
def test_a_moment_by_the_sun_is_never_after_the_sun_and_two_minutes_before_it_at_most(
    where: tuple[ZoneInfo, tuple[float, float]], visit: datetime, by: dict[str, Any], days: int
) -> None:
    zone, place = where
    last = visit.astimezone(zone).date() + timedelta(days=days)
    sun = oracle.sun_moment(by, last, zone, place)
    assume(sun is not None)
    form = calc.from_params("every_days", {"days": days, "by": by})
    due = calc.due_at(form, visit, zone, *place)
    assert due.at is not None and sun is not None
    limits = oracle.start_of(last, zone), oracle.end_of(last, zone)
    assert due.at <= min(max(sun, limits[0]), limits[1])
    assert due.at >= min(max(sun - STRICTER_BY, limits[0]), limits[1])
    assert not due.stated_clock_used


@settings(QUICK, max_examples=100)
@given(places(), VISITS, st.integers(-120, 120), st.integers(-120, 120))
def test_a_visit_clearly_inside_the_suns_window_counts_and_none_outside_does(
    where: tuple[ZoneInfo, tuple[float, float]], day_of: datetime, before: int, after: int
) -> None:
    zone, place = where
    day = day_of.astimezone(zone).date()
    opens: dict[str, Any] = {"sun": "sunrise", "offset_min": before, "otherwise": "06:00"}
    closes: dict[str, Any] = {"sun": "sunset", "offset_min": after, "otherwise": "18:00"}
    start, end = (oracle.sun_moment(one, day, zone, place) for one in (opens, closes))
    assume(start is not None and end is not None)
    assert start is not None and end is not None
    form = calc.from_params(
        "each_day", {"between": {"from": opens, "to": closes}, "no_tending": None}
    )
    rest = calc.from_params("each_day", {"no_tending": {"from": closes, "to": opens}})
    second = timedelta(seconds=1)
    for at, inside in [
        (start - second, False),
        (start + STRICTER_BY, True),
        (end - STRICTER_BY, True),
        (end + second, False),
    ]:
        assert calc.visit_counts(form, at, zone, *place) is inside
        assert calc.tending_forbidden(rest, at, zone, *place) is not inside


@settings(QUICK, max_examples=150)
@given(
    st.floats(60, 89),
    st.floats(15, 30),
    st.sampled_from([-1.0, 1.0]),
    VISITS,
    st.sampled_from(["dawn", "sunrise", "sunset", "dusk"]),
)
def test_in_the_far_north_and_south_the_stated_clock_serves_where_the_sun_does_not(
    lat: float, lon: float, half: float, visit: datetime, event: str
) -> None:
    zone, place = ZoneInfo("Europe/Helsinki"), (lat * half, lon)
    last = visit.astimezone(zone).date() + timedelta(days=1)
    by = {"sun": event, "otherwise": "13:00"}
    near = [
        oracle.sun_moment(by, last, zone, (place[0] + north, lon)) for north in (-0.15, 0, 0.15)
    ]
    due = calc.due_at(calc.from_params("each_day", {"by": by}), visit, zone, *place)
    assert due.at is not None
    stated = oracle.closing(datetime.combine(last, time(13)), zone)
    if all(one is None for one in near):
        assert due.stated_clock_used and due.at == stated
    elif all(one is not None for one in near):
        assert near[1] is not None
        grazing = timedelta(minutes=3)  # beyond the tolerance: see daylight.py
        assert due.at <= min(near[1] + grazing, oracle.end_of(last, zone))
    else:  # the edge of polar day or night runs through: the stricter of the two
        assert due.at <= max(stated, near[1] or stated)


@pytest.mark.parametrize(
    ("day", "expected_stated"), [("2025-06-20", True), ("2025-12-20", True), ("2025-03-20", False)]
)
def test_polar_day_and_night_use_the_stated_clock_time_and_say_so(
    day: str, expected_stated: bool
) -> None:
    zone = ZoneInfo("Europe/Oslo")
    form = calc.from_params("each_day", {"by": {"sun": "sunset", "otherwise": "15:30"}})
    visit = datetime.fromisoformat(day + "T12:00").replace(tzinfo=zone)
    due = calc.due_at(form, visit, zone, 69.65, 18.96)
    assert due.stated_clock_used is expected_stated
    if expected_stated:
        assert due.at == (visit + timedelta(days=1)).replace(hour=15, minute=30)


def test_a_moment_past_midnight_is_held_to_the_end_of_its_last_date() -> None:
    # Two hours after a midsummer sunset in Fairbanks lie on the next date.
    zone, place = ZoneInfo("America/Anchorage"), (64.84, -147.72)
    by = {"sun": "sunset", "offset_min": 120, "otherwise": "20:00"}
    form = calc.from_params("each_day", {"by": by})
    due = calc.due_at(form, datetime(2025, 6, 20, 12, tzinfo=zone), zone, *place)
    assert due.at == oracle.end_of(date(2025, 6, 21), zone)


def test_a_rule_with_a_sun_event_refuses_a_set_without_a_place() -> None:
    form = calc.from_params("each_day", {"by": {"sun": "dusk", "otherwise": "18:00"}})
    with pytest.raises(ValueError, match="lat"):
        calc.due_at(form, datetime(2025, 1, 1, tzinfo=UTC), ZoneInfo("UTC"))
    with pytest.raises(ValueError, match="lon"):
        calc.due_at(form, datetime(2025, 1, 1, tzinfo=UTC), ZoneInfo("UTC"), 10.0, 200.0)


@pytest.mark.parametrize(
    ("lat", "lon"), [(90.0, 180.0), (-90.0, -180.0), (0.0, 180.0), (60.0, -180.0)]
)
def test_the_globes_edges_are_places_too(lat: float, lon: float) -> None:
    form = calc.from_params("each_day", {"by": {"sun": "sunset", "otherwise": "18:00"}})
    due = calc.due_at(form, datetime(2025, 3, 1, 12, tzinfo=UTC), ZoneInfo("UTC"), lat, lon)
    assert due.at is not None


@settings(QUICK, max_examples=40)
@given(places(), VISITS, SUN_TIMES)
def test_every_set_of_a_cell_gets_the_same_moment(
    where: tuple[ZoneInfo, tuple[float, float]], visit: datetime, by: dict[str, Any]
) -> None:
    zone, (lat, lon) = where
    form = calc.from_params("each_day", {"by": by})
    south, west = np.floor((lat + 90) * 20) / 20 - 90, np.floor((lon + 180) * 20) / 20 - 180
    lats = south + np.array([0.001, 0.025, 0.049])
    lons = west + np.array([0.049, 0.001, 0.025])
    due = calc.due_many(form, np.repeat(_us(visit), 3), zone, lats, lons)
    assert len(set(due.tolist())) == 1


@pytest.mark.parametrize("side", ["due", "opening"])
def test_a_cells_moment_is_a_minute_stricter_than_the_sun_anywhere_in_it(side: str) -> None:
    # Near the polar circle in June, where the sun's moments differ most across a cell.
    zone, south, west = ZoneInfo("Europe/Helsinki"), 65.5, 25.0
    spots = [(south + a, west + b) for a in (0.001, 0.03, 0.049) for b in (0.001, 0.02, 0.049)]
    lat, lon = np.array(spots).T
    day = (date(2025, 6, 10) - date(1970, 1, 1)).days
    visit = _us(datetime(2025, 6, 9, 12, tzinfo=zone))[0]
    minute = 60_000_000
    for event in ("sunrise", "sunset"):
        moment = {"sun": event, "otherwise": "12:00"}
        suns = [event_us(event, day, *spot) for spot in spots]
        if side == "due":
            form = calc.from_params("each_day", {"by": moment})
            due = calc.due_many(form, np.repeat(visit, len(spots)), zone, lat, lon)
            end = calc.to_us(oracle.end_of(date(2025, 6, 10), zone))
            assert all(due[0] <= min(sun - minute, end) for sun in suns if sun is not None)
        else:
            form = calc.from_params("each_day", {"between": {"from": moment, "to": "23:59"}})
            before = [sun + minute - 1 for sun in suns if sun is not None]
            inside = calc.visits_count(form, before, zone, lat, lon)
            assert not inside.any()


def test_where_a_cell_straddles_the_polar_day_the_stricter_of_sun_and_clock_is_taken() -> None:
    # Late in May: the first cell northwards whose southern edge still has a sunset and
    # whose northern edge has none.
    zone, lon = ZoneInfo("Europe/Helsinki"), 25.01
    day = (date(2025, 5, 26) - date(1970, 1, 1)).days
    row = next(
        n
        for n in range(3_100, 3_300)
        if event_us("sunset", day, n / 20 - 90, lon) is not None
        and event_us("sunset", day, (n + 1) / 20 - 90, lon) is None
    )
    place = row / 20 - 90 + 0.025, lon
    visit = datetime(2025, 5, 25, 12, tzinfo=zone)
    for clock, stated in (("13:00", True), ("23:59", False)):
        by = {"sun": "sunset", "offset_min": -120, "otherwise": clock}
        due = calc.due_at(calc.from_params("each_day", {"by": by}), visit, zone, *place)
        assert due.at is not None and due.stated_clock_used is stated
        assert due.at <= datetime(2025, 5, 26, 23, 59, tzinfo=zone)


def test_a_moment_before_its_date_is_held_to_the_dates_start() -> None:
    by = {"sun": "sunrise", "offset_min": -720, "otherwise": "06:00"}
    zone = ZoneInfo("America/New_York")
    form = calc.from_params("each_day", {"by": by})
    due = calc.due_at(form, datetime(2025, 5, 9, 12, tzinfo=zone), zone, 43.0, -74.0)
    assert due.at == datetime(2025, 5, 10, tzinfo=zone)


def test_on_a_date_that_a_zone_had_twice_a_window_opens_at_the_second_sunrise() -> None:
    # Kwajalein went from UTC+11 to UTC-12 on 30 September 1969 (tz database).
    zone, place = ZoneInfo("Pacific/Kwajalein"), (8.72, 167.73)
    window = {"from": {"sun": "sunrise", "otherwise": "06:00"}, "to": "23:30"}
    form = calc.from_params("each_day", {"between": window})
    morning = datetime(1969, 9, 30, 9, tzinfo=zone, fold=0)
    assert morning.astimezone(UTC).date() == date(1969, 9, 29)
    assert not calc.visit_counts(form, morning, zone, *place)
    assert calc.visit_counts(form, morning - timedelta(days=1), zone, *place)
