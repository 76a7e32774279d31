"""Windows of a day: when a visit counts, and when tending is forbidden.

A date's window runs from its opening to its closing; where the closing is no later by
the clock than the opening, to the closing of the next date that the zone has. A date
that the zone skipped has no window. All are half-open, [from, to).
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from trapline.calc.clock import Bools, Ints, ZoneTable
from trapline.calc.deadlines.forms import Window
from trapline.calc.deadlines.moments import Side, days_and_cells, moments

_AROUND = (-2, -1, 0, 1)
"""Dates whose window can hold an instant: an offset may lead out of the date, and the
date before may have been skipped."""


def inside(window: Window, at_us: Ints, cell: Ints | None, table: ZoneTable) -> Bools:
    """Whether each instant lies in a window in which visits count.

    The opening is taken late and the closing early, so a doubtful minute does not count.
    """
    found = np.zeros(len(at_us), dtype=np.bool_)
    for opens, closes in _windows(window, at_us, cell, table, strict_inside=True):
        found |= (opens <= at_us) & (at_us < closes)
    return found


def forbidden(window: Window, at_us: Ints, cell: Ints | None, table: ZoneTable) -> Bools:
    """Whether each instant lies in hours in which tending is forbidden.

    These begin early and end late: the beginning closes tending, the end opens it.
    """
    found = np.zeros(len(at_us), dtype=np.bool_)
    for opens, closes in _windows(window, at_us, cell, table, strict_inside=False):
        found |= (opens <= at_us) & (at_us < closes)
    return found


def before_forbidden(window: Window, due_us: Ints, cell: Ints | None, table: ZoneTable) -> Ints:
    """Due moments, those inside forbidden hours moved to where these begin.

    One at the very end of the hours is moved too: the last moment in time, just before
    it, lies inside.
    """
    moved = due_us.copy()
    for opens, closes in _windows(window, due_us, cell, table, strict_inside=False):
        within = (opens < due_us) & (due_us <= closes)
        moved = np.where(within, np.minimum(moved, opens), moved)
    return moved


def last_closing(window: Window, due_us: Ints, cell: Ints | None, table: ZoneTable) -> Ints:
    """The moment up to which a visit before `due_us` can still count: the due moment
    itself inside a window, otherwise the close of the last window before it."""
    latest = np.full(len(due_us), np.iinfo(np.int64).min, dtype=np.int64)
    for opens, closes in _windows(window, due_us, cell, table, strict_inside=True):
        some = (opens < due_us) & (opens < closes)
        latest = np.where(some, np.maximum(latest, np.minimum(closes, due_us)), latest)
    return np.where(latest == np.iinfo(np.int64).min, due_us, latest)


def _windows(
    window: Window, at_us: Ints, cell: Ints | None, table: ZoneTable, *, strict_inside: bool
) -> Iterator[tuple[Ints, Ints]]:
    """Opening and closing per instant, for each date around it; empty where there is none."""
    sides: tuple[Side, Side] = ("opening", "closing") if strict_inside else ("closing", "opening")
    today, places, back = days_and_cells(table.day(at_us), cell)
    for step in _AROUND:
        day = today + step
        opens = moments(window[0], day, places, table, sides[0])
        closes = moments(window[1], day, places, table, sides[1])
        overnight = moments(window[1], _next_existing(day, table), places, table, sides[1])
        wraps = closes.wall_us <= opens.wall_us
        end = np.where(wraps, overnight.at_us, closes.at_us)
        skipped = table.start_of(day) == table.end_of(day)
        yield opens.at_us[back], np.where(skipped, opens.at_us, end)[back]


def _next_existing(day: Ints, table: ZoneTable) -> Ints:
    following = day + 1
    skipped: Bools = table.start_of(following) == table.end_of(following)
    return np.where(skipped, following + 1, following)
