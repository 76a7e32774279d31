"""Facts: what findings are judged by, a row a set, read in one statement, kept as arrays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

from trapline.binding.world import World
from trapline.calc.clock import NEVER_US
from trapline.gear.models import PartRole
from trapline.ground import sql
from trapline.land.models import FeatureKind

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Objects = NDArray[np.object_]

ROLES: tuple[str, ...] = tuple(PartRole.values)  # a part's bit in a mask: its place here
KINDS: tuple[str, ...] = tuple(FeatureKind.values)
OTHERS_WITHIN = timedelta(days=30)  # how far back catches that were no target count


@dataclass(frozen=True)
class Facts:
    """Columns of one length: active sets, in the order the database gave them.

    Instants in microseconds since 1970 (-1: none), lengths in metres, loads in newtons, nan: not
    known. Masks of days have a bit each for yesterday, today and tomorrow by UTC; masks of parts
    one for each of ROLES. `papers_days`: when a paper lets who is responsible tend under another's
    licence. Skills are codes with commas between; `*` stands for all of them.
    """

    ids: Objects
    profile: Objects  # device class, action, placement, zones, licence kind, targets, zone of time
    placed_us: Ints
    last_found: Objects
    jaw_spread_m: Floats
    parts: Ints
    parts_wanted: Ints
    parts_ever: Ints
    cable_spent: Bools
    cable_n: Floats
    lock_n: Floats
    swivel_n: Floats
    support_n: Floats
    breakaway_n: Floats
    stop_n: Floats
    cable_m: Floats
    loop_diameter_m: Floats
    loop_height_m: Floats
    snow_then_m: Floats
    arranged_us: Ints
    snow_now_m: Floats
    snow_read_us: Ints
    water_depth_m: Floats
    level_then_m: Floats
    level_now_m: Floats
    level_read_us: Ints
    ice_m: Floats
    ice_read_us: Ints
    anchored: Bools
    tagged: Bools
    bait_in_view: Bools
    trail_m: Floats
    road_m: Floats
    dwelling_m: Floats
    water_m: Floats
    boundary_m: Floats
    any_permission: Bools
    leave_days: Ints
    others_leave_days: Ints
    leave_ever: Bools
    leave_ended: Ints  # days since 1970
    licence_days: Ints
    licence_ends: Ints  # days since 1970
    skill: Objects
    skills: Objects
    leads: Bools
    away: Bools
    holds_licence: Bools
    papers_days: Ints
    placer_skills: Objects
    supervision: Objects
    checker_skills: Objects
    checked_us: Ints
    due_us: Ints
    due_rule: Objects
    notice_closed: Objects  # targets that a notice has closed here, codes with commas between
    pull_by_us: Ints
    notice_turns_us: Ints
    others: Ints
    worn_role: Objects
    worn_nights: Floats
    life_nights: Floats
    version: UUID | None
    stamp: int

    def __len__(self) -> int:
        return len(self.ids)

    def far(self, kind: str) -> Floats:
        """How far the nearest feature of a kind is; nan: further than any rule in force asks."""
        found: Floats = getattr(self, f"{kind}_m")
        return found


_DTYPES = {"Ints": np.int64, "Floats": np.float64, "Bools": np.bool_, "Objects": np.object_}
_COLUMNS = tuple((field.name, _DTYPES.get(str(field.type))) for field in fields(Facts))


def facts(team: UUID, sets: Sequence[UUID], world: World) -> Facts:
    """The facts of each active set among `sets`. One statement, whatever their number."""
    today = world.moment.astimezone(UTC).date()
    values: dict[str, Any] = {
        "team": team,
        "sets": list(sets),
        "moment": world.moment,
        "version": world.version,
        "reach": reach_of(world),
        "yesterday": today - timedelta(days=1),
        "today": today,
        "tomorrow": today + timedelta(days=1),
        "roles": list(ROLES),
        "away": list(world.away),
        "covers": world.covers,
        "lapsed": list(world.lapsed),
        "since": world.moment - OTHERS_WITHIN,
        "never": NEVER_US,
    }
    return _columns(sql.rows("trapline.findings", "facts", values, binary=True))


def reach_of(world: World) -> float | None:
    """The largest setback of a draft; None: that of the version in force."""
    if world.draft is None:
        return None
    asked = (world.draft.params[number]["at_least_m"] for number in world.draft.of("setback"))
    return max(asked, default=0.0)


def days_of(moment: datetime, day: int) -> int:
    """The bit of a local date (days since 1970) in a mask of days."""
    today = (moment.astimezone(UTC) - datetime(1970, 1, 1, tzinfo=UTC)).days
    return 1 << (day - today + 1)


def _columns(rows: list[tuple[Any, ...]]) -> Facts:
    columns: list[Sequence[Any]] = list(zip(*rows, strict=True)) if rows else [()] * len(_COLUMNS)
    made: dict[str, Any] = {}
    for (name, dtype), column in zip(_COLUMNS, columns, strict=True):
        if dtype is not None:
            made[name] = np.array(column, dtype=dtype)
    last_two = [column[0] if len(column) else None for column in columns[-2:]]
    return Facts(**made, version=last_two[0], stamp=last_two[1] or 0)
