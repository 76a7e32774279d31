"""What the field's forms mean, worked out once more, one case at a time.

Plain datetime and zoneinfo arithmetic (PEP 495 folds), the rules' raw parameters and
ephem for the sun. It shares no code with trapline.calc and knows nothing of it.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

import ephem

Params = dict[str, Any]
Place = tuple[float, float]
MICROSECOND = timedelta(microseconds=1)


# The local clock -----------------------------------------------------------------------


def shown_at(wall: datetime, zone: ZoneInfo) -> list[datetime]:
    """The instants (UTC) at which the clock on the wall shows `wall`: none, one or two."""
    found = set()
    for fold in (0, 1):
        instant = wall.replace(tzinfo=zone, fold=fold).astimezone(UTC)
        if instant.astimezone(zone).replace(tzinfo=None) == wall:
            found.add(instant)
    return sorted(found)


def change_over(wall: datetime, zone: ZoneInfo) -> datetime:
    """The instant of the change that skips `wall`, by bisection between its two readings."""
    ends = [wall.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1)]
    before, after = min(ends), max(ends)
    old = before.astimezone(zone).utcoffset()
    while after - before > MICROSECOND:
        middle = before + (after - before) / 2
        if middle.astimezone(zone).utcoffset() == old:
            before = middle
        else:
            after = middle
    return after


@cache
def closing(wall: datetime, zone: ZoneInfo) -> datetime:
    shown = shown_at(wall, zone)
    return shown[0] if shown else change_over(wall, zone)


@cache
def opening(wall: datetime, zone: ZoneInfo) -> datetime:
    shown = shown_at(wall, zone)
    return shown[-1] if shown else change_over(wall, zone)


def midnight(day: date) -> datetime:
    return datetime.combine(day, time.min)


@cache
def end_of(day: date, zone: ZoneInfo) -> datetime:
    return closing(midnight(day + timedelta(days=1)), zone)


def start_of(day: date, zone: ZoneInfo) -> datetime:
    return closing(midnight(day), zone)


@cache
def exists(day: date, zone: ZoneInfo) -> bool:
    return start_of(day, zone) < end_of(day, zone)


def end_of_by_stepping(day: date, zone: ZoneInfo) -> datetime:
    """The first instant whose local date is later than `day`, minute by minute.

    Right for zones that change on whole minutes, as all do since 1972.
    """
    at = datetime(day.year, day.month, day.day, tzinfo=UTC) - timedelta(hours=20)
    while at.astimezone(zone).date() <= day:
        at += timedelta(minutes=1)
    return at


# The sun -------------------------------------------------------------------------------

_HORIZON = {"dawn": "-6", "sunrise": "-0.8333", "sunset": "-0.8333", "dusk": "-6"}


def noon_on(day: date, place: Place, zone: ZoneInfo) -> datetime | None:
    """The sun's transit on a local date, by ephem; the first if there are two."""
    observer = _observer(place, "-0.8333")
    observer.date = midnight(day) - timedelta(hours=40)
    for _ in range(5):
        transit = _utc(observer.next_transit(ephem.Sun()))
        if transit.astimezone(zone).date() == day:
            return transit
        observer.date = ephem.Date(observer.next_transit(ephem.Sun()) + ephem.minute)
    return None


def sun_event(event: str, noon: datetime, place: Place) -> datetime | None:
    """The event nearest to a noon on its own side of it; None if there is none."""
    observer = _observer(place, _HORIZON[event])
    observer.date = noon.replace(tzinfo=None)
    try:
        if event in ("dawn", "sunrise"):
            found = observer.previous_rising(ephem.Sun(), use_center=True)
        else:
            found = observer.next_setting(ephem.Sun(), use_center=True)
    except (ephem.AlwaysUpError, ephem.NeverUpError):
        return None
    at = _utc(found)
    return at if abs(at - noon) < timedelta(hours=12, minutes=1) else None


def _observer(place: Place, horizon: str) -> ephem.Observer:
    observer = ephem.Observer()
    observer.lat, observer.lon = str(place[0]), str(place[1])
    observer.pressure, observer.elevation, observer.horizon = 0, 0, horizon
    return observer


def _utc(found: ephem.Date) -> datetime:
    return found.datetime().replace(tzinfo=UTC)  # type: ignore[no-any-return]


def sun_moment(value: Params, day: date, zone: ZoneInfo, place: Place) -> datetime | None:
    noon = noon_on(day, place, zone)
    found = None if noon is None else sun_event(value["sun"], noon, place)
    return None if found is None else found + timedelta(minutes=value.get("offset_min", 0))


# Times of day and windows --------------------------------------------------------------


def clock(value: str) -> time:
    return time.fromisoformat(value)


def windows_around(window: Params, at: datetime, zone: ZoneInfo, *, wide: bool) -> list[Any]:
    """(from, to) as instants, clock times only, of each date near `at` that exists.

    Wide windows (forbidden hours) begin early and end late, others the other way round.
    """
    start, end = clock(window["from"]), clock(window["to"])
    first, last = (closing, opening) if wide else (opening, closing)
    found = []
    for step in range(-3, 3):
        day = at.astimezone(zone).date() + timedelta(days=step)
        if not exists(day, zone):
            continue
        until = day
        if end <= start:
            until += timedelta(days=1)
            while not exists(until, zone):
                until += timedelta(days=1)
        found.append(
            (
                first(datetime.combine(day, start), zone),
                last(datetime.combine(until, end), zone),
            )
        )
    return found


def counts(params: Params, at: datetime, zone: ZoneInfo) -> bool:
    if "between" not in params:
        return True
    return any(a <= at < b for a, b in windows_around(params["between"], at, zone, wide=False))


def is_forbidden(params: Params, at: datetime, zone: ZoneInfo) -> bool:
    if "no_tending" not in params:
        return False
    return any(a <= at < b for a, b in windows_around(params["no_tending"], at, zone, wide=True))


# Due moments ---------------------------------------------------------------------------


def last_date(form: str, params: Params, visit: datetime, zone: ZoneInfo) -> date:
    day = visit.astimezone(zone).date()
    if form == "each_week":
        while day.weekday() != params.get("first_weekday", 0):
            day -= timedelta(days=1)
        return day + timedelta(days=13)
    return day + timedelta(days=params.get("days", 1))


def temperature_hours(params: Params, temp: float) -> float | None:
    """Hours between visits at a temperature; None where nothing may be set."""
    if temp < params.get("nothing_below_c", -999) or temp > params.get("nothing_above_c", 999):
        return None
    rows: list[dict[str, float]] = params["rows"]
    fitting = [r["hours"] for r in rows if r["from_c"] <= temp <= r["to_c"]]
    return min(fitting or [r["hours"] for r in rows])


def due_by_temperature(
    params: Params, visit: datetime, readings: list[tuple[datetime, float]]
) -> datetime:
    strictest = visit + timedelta(hours=min(r["hours"] for r in params["rows"]))
    moments = []
    for at, temp in readings:
        if at < visit:
            continue
        hours = temperature_hours(params, temp)
        moments.append(min(at, strictest) if hours is None else visit + timedelta(hours=hours))
    return min(moments, default=strictest)


def due_monitored(
    params: Params,
    visit: datetime,
    status: datetime | None,
    closed: datetime | None,
    lost: datetime | None,
) -> datetime:
    silent = visit if status is None else status + timedelta(hours=params["status_hours"])
    begins = [max(silent, visit)] + [at for at in (closed, lost) if at is not None and at >= visit]
    return min(begins) + timedelta(hours=params["visit_hours"])


def due(form: str, params: Params, visit: datetime, zone: ZoneInfo) -> datetime | None:
    """The due moment of every form whose times of day are clock times."""
    if form == "none":
        return None
    if form == "within_hours":
        moment = visit + timedelta(hours=params["hours"])
    else:
        last = last_date(form, params, visit, zone)
        moment = end_of(last, zone)
        if "by" in params:
            moment = closing(datetime.combine(last, clock(params["by"])), zone)
    return before_forbidden(params, moment, zone)


def before_forbidden(params: Params, moment: datetime, zone: ZoneInfo) -> datetime:
    if "no_tending" not in params:
        return moment
    around = windows_around(params["no_tending"], moment, zone, wide=True)
    return min([a for a, b in around if a < moment <= b], default=moment)
