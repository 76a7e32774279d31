"""Where the random cases are taken from: zones, their odd days, and forms."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

import hypothesis.strategies as st

# The odd days of each zone, as the tz database has them: cases crowd around these.
ODD_DAYS: dict[str, list[str]] = {
    "America/New_York": ["2025-03-09", "2025-11-02"],
    "Europe/Dublin": ["2024-03-31", "2024-10-27"],  # "winter time" is the odd one there
    "Antarctica/Troll": ["2024-03-31", "2024-10-27"],  # by two hours
    "Australia/Adelaide": ["2024-04-07", "2024-10-06"],  # UTC+9:30
    "Australia/Lord_Howe": ["2024-04-07", "2024-10-06"],  # by half an hour
    "Pacific/Chatham": ["2024-04-07", "2024-09-29"],  # UTC+12:45
    "Asia/Kolkata": ["2024-06-01"],  # UTC+5:30
    "Asia/Kathmandu": ["2024-06-01"],  # UTC+5:45
    "America/St_Johns": ["2006-04-02", "2006-10-29"],  # at one minute past midnight
    "America/Sao_Paulo": ["2017-10-15", "2018-02-18"],  # skips and doubles midnight
    "Africa/Cairo": ["2023-04-28", "2023-10-27"],  # likewise
    "Asia/Beirut": ["2022-03-27", "2022-10-30"],  # likewise
    "America/Havana": ["2024-03-10", "2024-11-03"],  # likewise
    "Asia/Tehran": ["2022-03-22", "2021-09-22"],  # likewise, UTC+3:30
    "Africa/Casablanca": ["2024-03-10", "2024-04-14"],
    "Asia/Pyongyang": ["2018-05-05"],  # for good, by half an hour, before midnight
    "America/Caracas": ["2016-05-01", "2007-12-09"],
    "Pacific/Apia": ["2011-12-30"],  # skipped this whole date
    "Pacific/Fakaofo": ["2011-12-30"],  # likewise
    "Pacific/Kwajalein": ["1993-08-21"],  # likewise
    "Pacific/Kiritimati": ["1994-12-31"],  # likewise
}
SKIPPED_DATES = {
    "Pacific/Apia": "2011-12-30",
    "Pacific/Fakaofo": "2011-12-30",
    "Pacific/Kwajalein": "1993-08-21",
    "Pacific/Kiritimati": "1994-12-31",
}


@st.composite
def zones_and_visits(draw: st.DrawFn, count: int, more: int = 0) -> tuple[ZoneInfo, list[datetime]]:
    """A zone and instants: two thirds of them within days of an odd day, on and off the minute.

    `count` of them are drawn one by one and `more` from one drawn seed, which takes a tenth of the
    time and shrinks no further.
    """
    name = draw(st.sampled_from(sorted(ODD_DAYS)))
    odd = datetime.fromisoformat(draw(st.sampled_from(ODD_DAYS[name]))).replace(tzinfo=UTC)
    near = st.integers(-9 * 86_400, 3 * 86_400).map(lambda s: odd + timedelta(seconds=s))
    hours = st.integers(-24 * 9, 24 * 3).map(lambda h: odd + timedelta(hours=h))
    far = st.integers(0, 40 * 366 * 86_400_000_000).map(_since_1990)
    visits = draw(st.lists(st.one_of(near, hours, far), min_size=count, max_size=count))
    dice = Random(draw(st.integers(0, 2**32)))
    ways: list[Callable[[], datetime]] = [
        lambda: odd + timedelta(seconds=dice.randint(-9 * 86_400, 3 * 86_400)),
        lambda: odd + timedelta(hours=dice.randint(-24 * 9, 24 * 3)),
        lambda: _since_1990(dice.randint(0, 40 * 366 * 86_400_000_000)),
    ]
    return ZoneInfo(name), visits + [dice.choice(ways)() for _ in range(more)]


def _since_1990(microseconds: int) -> datetime:
    return datetime(1990, 1, 1, tzinfo=UTC) + timedelta(microseconds=microseconds)


CLOCKS = st.one_of(
    st.sampled_from(["00:00", "00:01", "00:30", "01:30", "02:00", "02:30", "03:00", "23:30"]),
    st.tuples(st.integers(0, 23), st.integers(0, 59)).map(lambda t: f"{t[0]:02}:{t[1]:02}"),
)


@st.composite
def clock_windows(draw: st.DrawFn) -> dict[str, str]:
    start, end = draw(st.lists(CLOCKS, min_size=2, max_size=2, unique=True))
    return {"from": start, "to": end}


@st.composite
def clock_forms(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    """A form whose times of day are all clock times, as a rulebook would hold it."""
    form = draw(
        st.sampled_from(["within_hours", "each_day", "every_days", "every_days", "each_week"])
    )
    params: dict[str, Any] = {}
    if form == "within_hours":
        params["hours"] = draw(st.sampled_from([0.5, 12, 24, 36, 48, 72, 96, 336]))
    if form == "every_days":
        params["days"] = draw(st.integers(1, 7))
    if form == "each_week":
        params["first_weekday"] = draw(st.integers(0, 6))
    if form != "within_hours" and draw(st.booleans()):
        params["by"] = draw(CLOCKS)
    if form != "within_hours" and draw(st.booleans()):
        params["between"] = draw(clock_windows())
    if draw(st.booleans()):
        params["no_tending"] = draw(clock_windows())
    return form, params
