"""When the next visit is due, and which visits count."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trapline.calc.clock import (
    DAY_US,
    NEVER_US,
    Bools,
    Ints,
    ZoneTable,
    to_datetime,
    to_us,
    zone_table,
)
from trapline.calc.deadlines import windows
from trapline.calc.deadlines.forms import CheckForm, TemperatureTable, hours_us
from trapline.calc.deadlines.moments import cells_of, days_and_cells, moments

T = TypeVar("T")

_THURSDAY = 3  # 1970-01-01, counted from Monday = 0


class Readings(NamedTuple):
    """Air temperatures, in any order: the row of the set, when, and degrees C.

    A reading before the set's last visit is ignored. Give all since then.
    """

    row: Ints
    at_us: Ints
    temp_c: NDArray[np.float64]


class Signals(NamedTuple):
    """What a monitor sent, one per set; NEVER_US where it never did.

    The last status heard, the first closure since the last visit, and the first time
    since then that contact was reported lost. One older than the last visit is taken as
    answered by it.
    """

    last_status_us: Ints
    closed_us: Ints
    contact_lost_us: Ints


class DueMany(NamedTuple):
    """Due instants (NEVER_US for an exempt set) and, per set, how they came about."""

    due_us: Ints
    stated_clock_used: Bools
    moved_before_no_tending: Bools
    nothing_may_be_set: Bools


@dataclass(frozen=True)
class Due:
    """One due moment in UTC, None for an exempt set. A visit at `at` itself is late."""

    at: datetime | None
    stated_clock_used: bool = False
    moved_before_no_tending: bool = False
    nothing_may_be_set: bool = False

    @property
    def exempt(self) -> bool:
        return self.at is None


def due_many(
    form: CheckForm,
    last_visit_us: ArrayLike,
    zone: tzinfo,
    lat: ArrayLike | None = None,
    lon: ArrayLike | None = None,
    *,
    readings: Readings | None = None,
    signals: Signals | None = None,
) -> Ints:
    """Due instants of many sets under one form in one zone. See `due_details`."""
    details = due_details(form, last_visit_us, zone, lat, lon, readings=readings, signals=signals)
    return details.due_us


def due_details(
    form: CheckForm,
    last_visit_us: ArrayLike,
    zone: tzinfo,
    lat: ArrayLike | None = None,
    lon: ArrayLike | None = None,
    *,
    readings: Readings | None = None,
    signals: Signals | None = None,
) -> DueMany:
    """Due instants of many sets under one form in one zone, with their flags.

    `last_visit_us`: n int64 microseconds since the epoch (the last visit that counted,
    or the placing). `lat`, `lon`: n degrees, needed when the form has a sun event.
    `readings` belong to by_temperature, `signals` to monitored. Python is called per
    distinct date and sun cell, never per set. ValueError (a field's name first) for
    instants outside 1900 to 2200 or places off the globe.
    """
    visit = _instants(last_visit_us)
    count = len(visit)
    no = np.zeros(count, dtype=np.bool_)
    if count == 0 or form.form == "none":
        return DueMany(np.full(count, NEVER_US, dtype=np.int64), no, no, no)
    cell = _cells(form, lat, lon, count)
    table = _table_for(zone, visit)
    stated, nothing = no, no
    match form.form:
        case "within_hours":
            due = visit + hours_us(_given(form.hours))
        case "by_temperature":
            due, nothing = _by_temperature(_given(form.temperature), visit, readings)
        case "monitored":
            due = _monitored(form, visit, signals)
        case _:
            due, stated = _by_calendar(form, visit, cell, table)
    moved = no
    if form.no_tending is not None:
        # A monitor's due moment may lie far from the visit: the table follows it.
        table = _table_for(zone, due)
        before = windows.before_forbidden(form.no_tending, due, cell, table)
        due, moved = before, before != due
    return DueMany(due, stated, moved, nothing)


def due_at(
    form: CheckForm,
    last_visit: datetime,
    zone: tzinfo,
    lat: float | None = None,
    lon: float | None = None,
    *,
    temperatures: Sequence[tuple[datetime, float]] = (),
    last_status: datetime | None = None,
    closed: datetime | None = None,
    contact_lost: datetime | None = None,
) -> Due:
    """When one set is due: `due_details` with one row. Datetimes must be aware."""
    readings = Readings(
        np.zeros(len(temperatures), dtype=np.int64),
        np.array([to_us(at) for at, _ in temperatures], dtype=np.int64),
        np.array([temp for _, temp in temperatures], dtype=np.float64),
    )
    signals = Signals(*(_one(at) for at in (last_status, closed, contact_lost)))
    place = (None if lat is None else [lat], None if lon is None else [lon])
    found = due_details(form, [to_us(last_visit)], zone, *place, readings=readings, signals=signals)
    due = int(found.due_us[0])
    return Due(
        at=None if due == NEVER_US else to_datetime(due),
        stated_clock_used=bool(found.stated_clock_used[0]),
        moved_before_no_tending=bool(found.moved_before_no_tending[0]),
        nothing_may_be_set=bool(found.nothing_may_be_set[0]),
    )


def in_time(visit: datetime, due: datetime | None) -> bool:
    """Whether a visit at this instant is in time: before the due moment, not at it."""
    return due is None or to_us(visit) < to_us(due)


def visits_count(
    form: CheckForm,
    at_us: ArrayLike,
    zone: tzinfo,
    lat: ArrayLike | None = None,
    lon: ArrayLike | None = None,
    *,
    placing: ArrayLike = False,
) -> Bools:
    """Which visits count: those inside `between` (all, where there is none), and placings."""
    at = _instants(at_us)
    always = np.broadcast_to(np.asarray(placing, dtype=np.bool_), at.shape)
    if form.between is None or len(at) == 0:
        return np.ones(len(at), dtype=np.bool_)
    cell = _cells(form, lat, lon, len(at))
    return windows.inside(form.between, at, cell, _table_for(zone, at)) | always


def visit_counts(
    form: CheckForm,
    at: datetime,
    zone: tzinfo,
    lat: float | None = None,
    lon: float | None = None,
    *,
    placing: bool = False,
) -> bool:
    """Whether one visit counts: `visits_count` with one row."""
    place = (None if lat is None else [lat], None if lon is None else [lon])
    return bool(visits_count(form, [to_us(at)], zone, *place, placing=placing)[0])


def tending_forbidden_many(
    form: CheckForm,
    at_us: ArrayLike,
    zone: tzinfo,
    lat: ArrayLike | None = None,
    lon: ArrayLike | None = None,
) -> Bools:
    """Which instants lie in hours in which the rule forbids tending."""
    at = _instants(at_us)
    if form.no_tending is None or len(at) == 0:
        return np.zeros(len(at), dtype=np.bool_)
    cell = _cells(form, lat, lon, len(at))
    return windows.forbidden(form.no_tending, at, cell, _table_for(zone, at))


def tending_forbidden(
    form: CheckForm,
    at: datetime,
    zone: tzinfo,
    lat: float | None = None,
    lon: float | None = None,
) -> bool:
    """Whether the rule forbids tending at this instant: kept and flagged, not refused."""
    place = (None if lat is None else [lat], None if lon is None else [lon])
    return bool(tending_forbidden_many(form, [to_us(at)], zone, *place)[0])


def before_forbidden_many(
    form: CheckForm,
    due_us: ArrayLike,
    zone: tzinfo,
    lat: ArrayLike | None = None,
    lon: ArrayLike | None = None,
) -> Ints:
    """Due moments, those inside the rule's forbidden hours moved to where these begin.

    NEVER_US stays. For a rule of such hours that stands apart from the rule of the interval.
    """
    due = _instants(due_us)
    known = due != NEVER_US
    if form.no_tending is None or not known.any():
        return due
    cell = _cells(form, lat, lon, len(due))
    near = None if cell is None else cell[known]
    moved = due.copy()
    table = _table_for(zone, due[known])
    moved[known] = windows.before_forbidden(form.no_tending, due[known], near, table)
    return moved


def counts_until(
    form: CheckForm,
    due_us: ArrayLike,
    zone: tzinfo,
    lat: ArrayLike | None = None,
    lon: ArrayLike | None = None,
) -> Ints:
    """Until when a visit in time can still count, at the latest each due moment itself.

    With `between`, the last window before the due moment may close earlier: the due
    moment is the rule's, this one is what a person has to keep.
    """
    due = _instants(due_us)
    if form.between is None or len(due) == 0:
        return due
    known = due != NEVER_US
    cell = _cells(form, lat, lon, len(due))
    until = due.copy()
    if known.any():
        table = _table_for(zone, due[known])
        near = None if cell is None else cell[known]
        until[known] = windows.last_closing(form.between, due[known], near, table)
    return until


def _by_calendar(
    form: CheckForm, visit: Ints, cell: Ints | None, table: ZoneTable
) -> tuple[Ints, Bools]:
    day = table.day(visit)
    if form.form == "each_week":
        into_week = (day + _THURSDAY - form.first_weekday) % 7
        last = day - into_week + 13
    else:
        last = day + _given(form.days)
    days, places, back = days_and_cells(last, cell)
    end = table.end_of(days)
    if form.by is None:
        return end[back], np.zeros(len(visit), dtype=np.bool_)
    found = moments(form.by, days, places, table, "closing")
    # On the last date means within it, whatever an offset does to a sun event.
    return np.clip(found.at_us, table.start_of(days), end)[back], found.stated[back]


def _by_temperature(
    temperature: TemperatureTable, visit: Ints, readings: Readings | None
) -> tuple[Ints, Bools]:
    """The strictest reading since the last visit; the strictest row if there is none.

    A reading at which nothing may be set makes the visit due when it was read, or by the
    strictest row if that is earlier. One that no row covers takes the strictest row.
    """
    strictest = hours_us(temperature.strictest_hours)
    nothing = np.zeros(len(visit), dtype=np.bool_)
    if readings is None or len(readings.row) == 0:
        return visit + strictest, nothing
    if not np.isfinite(readings.temp_c).all():
        raise ValueError("readings: a temperature is not a number")
    since = readings.at_us >= visit[readings.row]
    row, at, temp = readings.row[since], readings.at_us[since], readings.temp_c[since]
    allowed = np.full(len(row), NEVER_US, dtype=np.int64)
    for line in temperature.rows:
        covered = (temp >= line.from_c) & (temp <= line.to_c)
        allowed = np.where(covered, np.minimum(allowed, hours_us(line.hours)), allowed)
    limit = visit[row] + np.where(allowed == NEVER_US, strictest, allowed)
    forbidden = np.zeros(len(row), dtype=np.bool_)
    if temperature.nothing_below_c is not None:
        forbidden |= temp < temperature.nothing_below_c
    if temperature.nothing_above_c is not None:
        forbidden |= temp > temperature.nothing_above_c
    due = np.full(len(visit), NEVER_US, dtype=np.int64)
    np.minimum.at(due, row, np.where(forbidden, np.minimum(at, visit[row] + strictest), limit))
    nothing[row[forbidden]] = True
    return np.where(due == NEVER_US, visit + strictest, due), nothing


def _monitored(form: CheckForm, visit: Ints, signals: Signals | None) -> Ints:
    """B hours after the first of: a closure, contact reported lost, A hours of silence.

    Silence is counted from the last status, however the set was visited since: a visit
    does not prove the monitor. Nothing ever heard counts as lost from the visit on.
    """
    never = np.full(len(visit), NEVER_US, dtype=np.int64)
    status, closed, lost = signals or (never, never, never)
    silence = hours_us(_given(form.status_hours))
    heard = status != NEVER_US
    silent = np.where(heard, np.where(heard, status, 0) + silence, visit)
    begin = np.maximum(silent, visit)
    for signal in (closed, lost):
        since = (signal >= visit) & (signal != NEVER_US)
        begin = np.where(since, np.minimum(begin, signal), begin)
    return begin + hours_us(_given(form.visit_hours))


def _given(value: T | None) -> T:
    if value is None:
        raise ValueError("form: build it with from_params")
    return value


def _instants(values: ArrayLike) -> Ints:
    found = np.asarray(values)
    if found.size and found.dtype.kind not in "iu":
        raise ValueError("at_us: whole microseconds since the epoch are needed")
    return np.atleast_1d(found.astype(np.int64))


def _one(at: datetime | None) -> Ints:
    return np.array([NEVER_US if at is None else to_us(at)], dtype=np.int64)


def _cells(
    form: CheckForm, lat: ArrayLike | None, lon: ArrayLike | None, count: int
) -> Ints | None:
    if not form.needs_place:
        return None
    if lat is None or lon is None:
        raise ValueError("lat: a rule with a sun event needs the set's place")
    shape = (count,)
    return cells_of(
        np.broadcast_to(np.asarray(lat, dtype=np.float64), shape),
        np.broadcast_to(np.asarray(lon, dtype=np.float64), shape),
    )


def _table_for(zone: tzinfo, at_us: Ints) -> ZoneTable:
    reach = 370 * DAY_US  # the longest interval that a form can state, and its last week
    return zone_table(zone, int(at_us.min()), int(at_us.max()) + reach)
