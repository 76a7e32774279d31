"""Every form against an oracle written apart from the code: over 20,000 random cases."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.calc import oracle
from tests.calc.cases import ODD_DAYS, clock_forms, zones_and_visits
from trapline.calc import deadlines as calc

pytestmark = pytest.mark.xdist_group("oracle")  # one worker, so that it can count

CASES: Counter[str] = Counter()
QUICK = settings(deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))


@pytest.fixture(autouse=True, scope="module")
def _enough_cases() -> Iterator[None]:
    yield
    if set(CASES) == set(calc.FORMS):  # the whole file ran, not one test of it
        assert CASES.total() >= 20_000, CASES
        assert all(CASES[form] >= 1_000 for form in calc.FORMS), CASES


def _us(at: list[datetime]) -> np.ndarray[Any, np.dtype[np.int64]]:
    return np.array([calc.to_us(one) for one in at], dtype=np.int64)


@settings(QUICK, max_examples=450)
@given(clock_forms(), zones_and_visits(8, 32))
def test_a_due_moment_by_the_clock_is_the_oracles(
    form: tuple[str, dict[str, Any]], where: tuple[ZoneInfo, list[datetime]]
) -> None:
    zone, visits = where
    made = calc.from_params(*form)
    due = calc.due_many(made, _us(visits), zone)
    counts = calc.visits_count(made, _us(visits), zone)
    forbidden = calc.tending_forbidden_many(made, _us(visits), zone)
    for number, visit in enumerate(visits):
        assert calc.to_datetime(due[number]) == oracle.due(*form, visit, zone)
        assert counts[number] == oracle.counts(form[1], visit, zone)
        assert forbidden[number] == oracle.is_forbidden(form[1], visit, zone)
    CASES[form[0]] += len(visits)


@settings(QUICK, max_examples=120)
@given(clock_forms(), zones_and_visits(5), st.data())
def test_one_set_alone_and_among_many_get_the_same_answer(
    form: tuple[str, dict[str, Any]], where: tuple[ZoneInfo, list[datetime]], data: st.DataObject
) -> None:
    zone, visits = where
    params = dict(form[1])
    if "by" in params:
        params["by"] = {"sun": "sunset", "offset_min": 90, "otherwise": params["by"]}
    if "between" in params:
        params["between"] = {
            "from": {"sun": "dawn", "otherwise": params["between"]["from"]},
            "to": params["between"]["to"],
        }
    made = calc.from_params(form[0], params)
    places = [(data.draw(st.floats(-70, 70)), data.draw(st.floats(-180, 180))) for _ in visits]
    lat, lon = np.array(places).T
    many = calc.due_details(made, _us(visits), zone, lat, lon)
    counts = calc.visits_count(made, _us(visits), zone, lat, lon)
    forbidden = calc.tending_forbidden_many(made, _us(visits), zone, lat, lon)
    for i, (visit, place) in enumerate(zip(visits, places, strict=True)):
        alone = calc.due_at(made, visit, zone, *place)
        assert alone.at == calc.to_datetime(many.due_us[i])
        assert alone.stated_clock_used == many.stated_clock_used[i]
        assert alone.moved_before_no_tending == many.moved_before_no_tending[i]
        assert calc.visit_counts(made, visit, zone, *place) == counts[i]
        assert calc.tending_forbidden(made, visit, zone, *place) == forbidden[i]


ROWS = st.lists(
    st.tuples(st.integers(-30, 35), st.integers(0, 20), st.sampled_from([1, 2, 4, 12, 24])),
    min_size=1,
    max_size=4,
)


@settings(QUICK, max_examples=200)
@given(ROWS, st.booleans(), zones_and_visits(8), st.data())
def test_a_due_moment_by_temperature_is_the_oracles(
    rows: list[tuple[int, int, int]],
    limits: bool,
    where: tuple[ZoneInfo, list[datetime]],
    data: st.DataObject,
) -> None:
    zone, visits = where
    params: dict[str, Any] = {
        "rows": [{"from_c": low, "to_c": low + span, "hours": h} for low, span, h in rows]
    }
    if limits:
        params |= {"nothing_below_c": -10, "nothing_above_c": 31}
    reading = st.tuples(st.integers(-6 * 3_600, 30 * 3_600), st.integers(-20, 40))
    given_readings = [
        [(v + timedelta(seconds=s), float(t)) for s, t in data.draw(st.lists(reading, max_size=4))]
        for v in visits
    ]
    flat = [(row, *one) for row, each in enumerate(given_readings) for one in each]
    readings = calc.Readings(
        np.array([row for row, _, _ in flat], dtype=np.int64),
        _us([at for _, at, _ in flat]),
        np.array([temp for _, _, temp in flat], dtype=np.float64),
    )
    due = calc.due_many(
        calc.from_params("by_temperature", params), _us(visits), zone, readings=readings
    )
    for number, visit in enumerate(visits):
        expected = oracle.due_by_temperature(params, visit, given_readings[number])
        assert calc.to_datetime(due[number]) == expected
    CASES["by_temperature"] += len(visits)


@settings(QUICK, max_examples=200)
@given(st.sampled_from([1, 12, 24]), st.sampled_from([1, 24, 48]), zones_and_visits(8), st.data())
def test_a_due_moment_of_a_monitored_set_is_the_oracles(
    status_hours: int,
    visit_hours: int,
    where: tuple[ZoneInfo, list[datetime]],
    data: st.DataObject,
) -> None:
    zone, visits = where
    params = {"status_hours": status_hours, "visit_hours": visit_hours}
    form = calc.from_params("monitored", params)
    offsets = st.none() | st.integers(-50 * 3_600, 50 * 3_600)
    for visit in visits:
        sent = [
            None if s is None else visit + timedelta(seconds=s)
            for s in data.draw(st.tuples(offsets, offsets, offsets))
        ]
        found = calc.due_at(
            form, visit, zone, last_status=sent[0], closed=sent[1], contact_lost=sent[2]
        )
        assert found.at == oracle.due_monitored(params, visit, *sent)
    CASES["monitored"] += len(visits)


@settings(QUICK, max_examples=50)
@given(zones_and_visits(20))
def test_an_exempt_set_is_never_due(where: tuple[ZoneInfo, list[datetime]]) -> None:
    zone, visits = where
    due = calc.due_many(calc.from_params("none", {}), _us(visits), zone)
    assert (due == calc.NEVER_US).all()
    CASES["none"] += len(visits)


@pytest.mark.parametrize("name", sorted(ODD_DAYS))
def test_the_end_of_a_date_is_the_first_instant_of_a_later_one_by_stepping(name: str) -> None:
    zone, form = ZoneInfo(name), calc.from_params("each_day", {})
    for odd in ODD_DAYS[name]:
        for step in (-2, -1, 0, 1):
            day = date.fromisoformat(odd) + timedelta(days=step)
            noon = datetime.combine(day, datetime.min.time(), tzinfo=UTC) + timedelta(hours=12)
            visit = noon - (zone.utcoffset(noon.replace(tzinfo=None)) or timedelta())
            due = calc.due_at(form, visit, zone).at
            good_on = visit.astimezone(zone).date() + timedelta(days=1)
            assert due == oracle.end_of_by_stepping(good_on, zone)
