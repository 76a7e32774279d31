"""The days a report is about."""

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

import numpy as np

from trapline.calc.clock import DAY_US, FIRST_YEAR, LAST_YEAR, to_datetime, zone_table
from trapline.ground.errors import Problem, Refused

_EPOCH = date(1970, 1, 1)


@dataclass(frozen=True)
class Period:
    """From the first local date to the last, both in it; None leaves that side open.

    Refused when the last lies before the first, or one lies where no record can.
    """

    first: date | None = None
    last: date | None = None

    def __post_init__(self) -> None:
        for field, day in (("first", self.first), ("last", self.last)):
            if day is not None and not FIRST_YEAR < day.year < LAST_YEAR:
                raise Refused(Problem(field, "shape_datetime_range"))
        if self.first is not None and self.last is not None and self.last < self.first:
            raise Refused(Problem("last", "period_backwards"))

    def instants(self, tz: str) -> tuple[datetime | None, datetime | None]:
        """When it begins on the clock of a zone, and the first instant after it."""
        begins = None if self.first is None else _start_of(self.first, 0, tz)
        return begins, None if self.last is None else _start_of(self.last, 1, tz)


def _start_of(day: date, shift: int, tz: str) -> datetime:
    number = (day - _EPOCH).days + shift
    table = zone_table(ZoneInfo(tz), number * DAY_US, number * DAY_US)
    return to_datetime(int(table.start_of(np.array([number], dtype=np.int64))[0]))
