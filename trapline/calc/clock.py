"""Local dates and clock times of one zone, for many instants at once.

Instants are int64 microseconds since 1970-01-01T00:00Z. A *wall* time is what the
clock on the wall shows, counted as microseconds since 1970-01-01T00:00 as if that
clock had never changed; a *day* is the whole days in it (0 is 1970-01-01).

The transitions come from Python's own zone objects, asked at most once per zone and
year; no instant is handled by itself in Python.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, tzinfo
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

SECOND_US = 1_000_000
HOUR_US = 3_600 * SECOND_US
DAY_US = 24 * HOUR_US
NEVER_US = int(np.iinfo(np.int64).max)
"""Stands for "no such moment": an exempt set, a signal that was never sent."""

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
FIRST_YEAR, LAST_YEAR = 1900, 2200

_STEP_S = 6 * 3_600  # no zone on record changes its clock twice within six hours
_REACH_US = 27 * HOUR_US  # more than any zone's distance from UTC


def to_us(at: datetime) -> int:
    """An aware datetime as microseconds since the epoch, exactly. ValueError if naive."""
    if at.tzinfo is None or at.utcoffset() is None:
        raise ValueError("at: a datetime with its zone is needed")
    return (at - EPOCH) // timedelta(microseconds=1)


def to_datetime(us: int) -> datetime:
    """The instant as an aware UTC datetime."""
    return EPOCH + timedelta(microseconds=int(us))


def _offset_s(zone: tzinfo, at_s: int) -> int:
    offset = datetime.fromtimestamp(at_s, zone).utcoffset()
    if offset is None:
        raise ValueError("zone: it does not say how far it is from UTC")
    return offset // timedelta(seconds=1)


@lru_cache(maxsize=8192)
def _year(zone: tzinfo, year: int) -> tuple[tuple[int, int], ...]:
    """(instant, offset from then on) in seconds: the year's start, then its changes."""
    at = int(datetime(year, 1, 1, tzinfo=UTC).timestamp())
    end = int(datetime(year + 1, 1, 1, tzinfo=UTC).timestamp())
    offset = _offset_s(zone, at)
    found = [(at, offset)]
    while at < end:
        later = min(at + _STEP_S, end)
        if _offset_s(zone, later) != offset:
            before, after = at, later
            while after - before > 1:
                middle = (before + after) // 2
                if _offset_s(zone, middle) == offset:
                    before = middle
                else:
                    after = middle
            offset = _offset_s(zone, after)
            if after < end:  # a change at the year's last instant opens the next year
                found.append((after, offset))
        at = later
    return tuple(found)


class ZoneTable(NamedTuple):
    """Spells of one unchanged offset: spell k runs from starts[k] to starts[k + 1]."""

    starts: Ints
    offsets: Ints

    def wall(self, at_us: Ints) -> Ints:
        """What the clock on the wall shows at each instant."""
        spell = np.searchsorted(self.starts, at_us, side="right") - 1
        return at_us + self.offsets[np.maximum(spell, 0)]

    def day(self, at_us: Ints) -> Ints:
        """The local date of each instant, in days since 1970-01-01."""
        return np.floor_divide(self.wall(at_us), DAY_US)

    def _spells(self, wall: Ints) -> tuple[Ints, Ints, Ints]:
        """Per wall time the spells near it: index, start and end, each (4, n)."""
        first = np.searchsorted(self.starts, wall - _REACH_US, side="right") - 1
        index = np.maximum(first, 0) + np.arange(4)[:, None]
        last = len(self.starts) - 1
        ends = np.append(self.starts[1:], NEVER_US)
        known = index <= last
        index = np.minimum(index, last)
        # A spell past the table's end is given no length, so nothing falls into it.
        return index, self.starts[index], np.where(known, ends[index], self.starts[index])

    def first_reached(self, wall: Ints) -> Ints:
        """The first instant at which the clock shows `wall` or later.

        For a clock time that comes twice this is the first, for one that a change
        skips it is the change; for midnight it is where the date before it ends.
        """
        index, starts, ends = self._spells(wall)
        at = np.maximum(wall - self.offsets[index], starts)
        first: Ints = np.where(at < ends, at, NEVER_US).min(axis=0)
        return first

    def last_shown(self, wall: Ints) -> Ints:
        """The last instant at which the clock shows `wall`; the change if it never does."""
        index, starts, ends = self._spells(wall)
        at = wall - self.offsets[index]
        shown = np.where((at >= starts) & (at < ends), at, -NEVER_US).max(axis=0)
        return np.where(shown == -NEVER_US, self.first_reached(wall), shown)

    def end_of(self, day: Ints) -> Ints:
        """The first instant whose local date is later than `day`."""
        return self.first_reached((day + 1) * DAY_US)

    def start_of(self, day: Ints) -> Ints:
        """The first instant whose local date is `day` or later."""
        return self.first_reached(day * DAY_US)


def zone_table(zone: tzinfo, first_us: int, last_us: int) -> ZoneTable:
    """The zone's spells from a few days before `first_us` to a few after `last_us`.

    ValueError for instants outside 1900 to 2200: those are a clock gone wrong.
    """
    limits = datetime(FIRST_YEAR, 1, 2, tzinfo=UTC), datetime(LAST_YEAR, 12, 30, tzinfo=UTC)
    if first_us < to_us(limits[0]) or last_us > to_us(limits[1]):
        raise ValueError(f"at_us: an instant outside {FIRST_YEAR} to {LAST_YEAR}")
    first_year = to_datetime(first_us - 5 * DAY_US).year
    last_year = to_datetime(last_us + 5 * DAY_US).year
    return _table(zone, first_year, last_year)


@lru_cache(maxsize=1024)
def _table(zone: tzinfo, first_year: int, last_year: int) -> ZoneTable:
    spells: list[tuple[int, int]] = []
    for year in range(first_year, last_year + 1):
        for at, offset in _year(zone, year):
            if not spells or spells[-1][1] != offset:
                spells.append((at, offset))
    table = np.array(spells, dtype=np.int64).T * SECOND_US
    table.flags.writeable = False  # many share it
    return ZoneTable(*table)
