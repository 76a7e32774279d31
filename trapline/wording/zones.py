"""What a clock's zone is called, and what a phone needs to write moments on it."""

from datetime import datetime, timedelta
from functools import lru_cache
from typing import TypedDict
from zoneinfo import ZoneInfo

from trapline.calc.clock import to_datetime, to_us, zone_table

AROUND = timedelta(days=365)


def zone_name(at: datetime) -> str:
    """The short name of a zone-aware moment's zone: EET, or UTC+0530 where it has only digits."""
    name = at.tzname() or ""
    return f"UTC{name}" if name[:1] in "+-" else name


class Clock(TypedDict):
    """A zone's clock: from when (ms of the epoch) it is how many minutes from UTC, and its name.

    Known from the first step until `until` (ms).
    """

    steps: list[tuple[int, float, str]]
    until: int


def clock_of(tz: str, moment: datetime) -> Clock:
    """The clock of a zone for at least a year before and after a moment.

    From the tz database that the deadlines rest on; a phone's own may be years old.
    """
    return _clock(tz, (moment - AROUND).year, (moment + AROUND).year)


@lru_cache(maxsize=256)
def _clock(tz: str, first: int, last: int) -> Clock:
    zone = ZoneInfo(tz)
    start, end = (datetime(year, 1, 1, tzinfo=zone) for year in (first, last + 1))
    table = zone_table(zone, to_us(start), to_us(end))
    steps = [
        (us // 1000, offset / 60_000_000, zone_name(to_datetime(us).astimezone(zone)))
        for us, offset in zip(table.starts.tolist(), table.offsets.tolist(), strict=True)
    ]
    return {"steps": steps, "until": to_us(end) // 1000}
