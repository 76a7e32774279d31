"""When a time of day falls, on many dates and at many places at once.

Sun events are worked out per cell of `CELLS_PER_DEG` (0.05 degrees, at most 5.6 km) and
date, not per set: at the cell's four corners, taking the earliest for a due or closing
moment and the latest for an opening one, less or plus `daylight.TOLERANCE_US`. A set's
moment is therefore never later (due, closing) or earlier (opening) than the sun's own;
it is stricter by at most 60 s, 12 s for the cell's breadth, and for its height the
event's change over 0.05 degrees of latitude: up to 40 s at 60 degrees at a solstice,
growing without bound only where day or night becomes polar. Between two corners the
event is monotone in latitude but for a bend worth less than 0.1 s near the equinoxes,
which the 60 s cover.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from trapline.calc.clock import DAY_US, NEVER_US, SECOND_US, Bools, Ints, ZoneTable
from trapline.calc.daylight import TOLERANCE_US, event_us
from trapline.calc.deadlines.forms import TimeOfDay

CELLS_PER_DEG = 20
_COLUMNS = 360 * CELLS_PER_DEG + 1
_ROWS = 180 * CELLS_PER_DEG + 1

Side = Literal["closing", "opening"]
"""A due or closing moment is taken early, an opening one late: the strict side."""


class Moments(NamedTuple):
    """Instants; what the clock shows then, counted from their date's midnight (negative,
    or over a day, where a sun event's offset leads out of the date); whether the stated
    clock time had to serve for a sun event that does not happen."""

    at_us: Ints
    wall_us: Ints
    stated: Bools


def cells_of(lat: NDArray[np.float64], lon: NDArray[np.float64]) -> Ints:
    """Each place's cell as one number. ValueError for a place off the globe."""
    if not np.all((lat >= -90.0) & (lat <= 90.0)):
        raise ValueError("lat: degrees from -90 to 90 are needed")
    if not np.all((lon >= -180.0) & (lon <= 180.0)):
        raise ValueError("lon: degrees from -180 to 180 are needed")
    row = np.floor((lat + 90.0) * CELLS_PER_DEG).astype(np.int64)
    column = np.floor((lon + 180.0) * CELLS_PER_DEG).astype(np.int64)
    # The pole and the last meridian belong to the last cell, not to one beyond it.
    return np.minimum(row, _ROWS - 2) * _COLUMNS + np.minimum(column, _COLUMNS - 2)


def days_and_cells(day: Ints, cell: Ints | None) -> tuple[Ints, Ints | None, NDArray[np.intp]]:
    """The distinct pairs of date and cell, and for each row the number of its pair."""
    if cell is None:
        days, back = np.unique(day, return_inverse=True)
        return days, None, back
    base = int(day.min(initial=0))
    keys, back = np.unique((day - base) * (_ROWS * _COLUMNS) + cell, return_inverse=True)
    return keys // (_ROWS * _COLUMNS) + base, keys % (_ROWS * _COLUMNS), back


def moments(time: TimeOfDay, day: Ints, cell: Ints | None, table: ZoneTable, side: Side) -> Moments:
    """When `time` falls on each local date. `cell` is needed for sun events only."""
    if time.sun is None:
        wall = np.full(len(day), time.clock_us, dtype=np.int64)
        at = _clock(time.clock_us, day, table, side)
        return Moments(at, wall, np.zeros(len(day), dtype=np.bool_))
    if cell is None:
        raise ValueError("lat: a rule with a sun event needs the set's place")
    return _sun(time, day, cell, table, side)


def _clock(clock_us: int, day: Ints, table: ZoneTable, side: Side) -> Ints:
    wall = day * DAY_US + clock_us
    return table.first_reached(wall) if side == "closing" else table.last_shown(wall)


def _sun(time: TimeOfDay, day: Ints, cell: Ints, table: ZoneTable, side: Side) -> Moments:
    """One row per distinct date and cell."""
    closing = side == "closing"
    row, column = cell // _COLUMNS, cell % _COLUMNS
    solar_day, has_noon = _solar_day(day, column, table, side)
    missing = NEVER_US if closing else -NEVER_US
    corners = np.stack([row, row, row + 1, row + 1]), np.stack([column, column + 1] * 2)
    events = _at_nodes(time, *corners, np.broadcast_to(solar_day, corners[0].shape), missing)
    happens = (events != missing) & has_noon
    shift = time.offset_us + (-TOLERANCE_US if closing else TOLERANCE_US)
    events = np.where(happens, events + np.where(happens, shift, 0), missing)
    sun = events.min(axis=0) if closing else events.max(axis=0)
    # Where a corner has no such event the stated clock time stands beside the sun's,
    # and the stricter of the two is taken.
    stated = _clock(time.clock_us, day, table, side)
    pick = ~happens.all(axis=0) & ((stated < sun) if closing else (stated > sun))
    at = np.where(pick, stated, sun)
    wall = np.where(pick, time.clock_us, table.wall(at) - day * DAY_US)
    return Moments(at, wall, pick)


def _solar_day(day: Ints, column: Ints, table: ZoneTable, side: Side) -> tuple[Ints, Bools]:
    """The solar day whose mean noon falls on the local date, and whether there is one.

    Beside the date line and in odd zones it is the date's neighbour by number; a date
    that a zone had twice has two noons, and the strict one is taken.
    """
    lon_us = (column * 2 + 1 - 360 * CELLS_PER_DEG) * (240 * SECOND_US // (2 * CELLS_PER_DEG))
    candidates = day + np.array([-1, 0, 1])[:, None]
    noon = candidates * DAY_US + DAY_US // 2 - lon_us
    on_date = table.day(noon) == day
    first = np.argmax(on_date, axis=0) if side == "closing" else 2 - np.argmax(on_date[::-1], 0)
    return np.take_along_axis(candidates, first[None, :], axis=0)[0], on_date.any(axis=0)


def _at_nodes(time: TimeOfDay, row: Ints, column: Ints, solar_day: Ints, missing: int) -> Ints:
    """The event at the grid's nodes; neighbouring cells share theirs."""
    assert time.sun is not None
    base = int(solar_day.min())
    key = (solar_day - base) * (_ROWS * _COLUMNS) + row * _COLUMNS + column
    keys, back = np.unique(key, return_inverse=True)
    nodes = zip(
        (keys // (_ROWS * _COLUMNS) + base).tolist(),
        (keys // _COLUMNS % _ROWS / CELLS_PER_DEG - 90.0).tolist(),
        (keys % _COLUMNS / CELLS_PER_DEG - 180.0).tolist(),
        strict=True,
    )
    found = (event_us(time.sun, day, lat, lon) for day, lat, lon in nodes)
    events = np.array([missing if at is None else at for at in found], dtype=np.int64)
    return events[back].reshape(row.shape)
