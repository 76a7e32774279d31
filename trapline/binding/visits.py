"""What a rule counts from: the last visit inside its window, the air and the signals since."""

from __future__ import annotations

from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from trapline.binding.sets import Sets
from trapline.binding.world import World
from trapline.calc.deadlines import (
    NEVER_US,
    CheckForm,
    Readings,
    Signals,
    to_datetime,
    visits_count,
)
from trapline.ground import sql

Ints = NDArray[np.int64]


def basis_in_window(sets: Sets, form: CheckForm, of: Ints, zone: ZoneInfo, world: World) -> Ints:
    """Per set (numbers `of`) the newest visit up to the world's moment that lies in the rule's

    window, or the placing.
    """
    basis = sets.visit_us[of].copy()
    counts = visits_count(
        form, basis, zone, sets.lat[of], sets.lon[of], placing=sets.by_placing[of]
    )
    missed = of[~counts]
    if not len(missed):
        return basis
    rows = sql.rows(
        "trapline.binding",
        "looks",
        {
            "team": sets.team,
            "sets": [sets.ids[number] for number in missed],
            "moment": world.moment,
        },
    )
    place = {sets.ids[number]: number for number in missed.tolist()}
    which = np.array([place[row[0]] for row in rows], dtype=np.int64)
    at = np.array([row[1] for row in rows], dtype=np.int64)
    placing = np.array([row[2] for row in rows], dtype=np.bool_)
    good = visits_count(form, at, zone, sets.lat[which], sets.lon[which], placing=placing)
    # Rows come newest first within a set: the first good one of each is its basis.
    found, first = np.unique(which[good], return_index=True)
    newest = sets.placed_us.copy()
    newest[found] = at[good][first]
    basis[~counts] = newest[missed]
    return basis


def airs_of(sets: Sets, form: CheckForm, of: Ints, world: World) -> Readings | None:
    """The air temperatures since each set's last visit, for a form that asks for them."""
    if form.temperature is None:
        return None
    rows = sql.rows(
        "trapline.binding",
        "airs",
        {
            "team": sets.team,
            "sets": [sets.ids[number] for number in of],
            "since": [to_datetime(us) for us in sets.visit_us[of].tolist()],
            "moment": world.moment,
        },
    )
    place = {sets.ids[number]: row for row, number in enumerate(of.tolist())}
    return Readings(
        np.array([place[row[0]] for row in rows], dtype=np.int64),
        np.array([row[1] for row in rows], dtype=np.int64),
        np.array([row[2] for row in rows], dtype=np.float64),
    )


def signals_of(sets: Sets, form: CheckForm, of: Ints, world: World) -> Signals | None:
    """What monitors on the sets sent, for a form that asks for it. One statement."""
    if form.form != "monitored":
        return None
    rows = sql.rows(
        "trapline.binding",
        "signals",
        {
            "team": sets.team,
            "sets": [sets.ids[number] for number in of],
            "since": [to_datetime(us) for us in sets.visit_us[of].tolist()],
            "moment": world.moment,
        },
    )
    place = {sets.ids[number]: row for row, number in enumerate(of.tolist())}
    heard = np.full((3, len(of)), NEVER_US, dtype=np.int64)
    for set_id, *told in rows:
        heard[:, place[set_id]] = [NEVER_US if us is None else us for us in told]
    return Signals(*heard)
