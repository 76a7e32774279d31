"""A landowner's letter of the season: what was taken on their land, and whether all sets are out.

It names the parcel as the permission does. No place of a set, no line and no person stands in it.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from trapline.ground import sql
from trapline.land.selectors import access_permission
from trapline.lines.selectors import zone_of_team
from trapline.lines.words import Ended, Fate
from trapline.reports.harvest import TAKEN
from trapline.reports.period import Period

STANDING = "standing"


@dataclass(frozen=True)
class Told:
    """A species: how many were taken, and how many were let go."""

    species: str
    taken: int
    let_go: int


@dataclass(frozen=True)
class Letter:
    """What the letter says. `out_at`: when the last set on the parcel ended; None without one."""

    permission: Any
    period: Period
    tz: str
    species: tuple[Told, ...]
    sets: int
    standing: int
    lost: int
    out_at: datetime | None

    @property
    def all_out(self) -> bool:
        """Every set that stood on the parcel was pulled: none stands, none was lost."""
        return not self.standing and not self.lost


def letter(team: UUID, permission: UUID, period: Period) -> Letter:
    """The letter for a permission and a period with both days. Three statements: permission, the
    team's clock, animals and sets. NotYours when the permission is not there."""
    held, tz = access_permission(team, permission), zone_of_team(team)
    begins, ends = period.instants(tz)
    values = {
        "team": team, "permission": permission, "first": period.first, "last": period.last,
        "begins": begins, "ends": ends,
    }  # fmt: skip
    fates: dict[str, Counter[str]] = {}
    sets: Counter[str] = Counter()
    out: list[datetime] = []
    for what, name, code, count, at in sql.rows("trapline.reports", "on_parcel", values):
        if what == "animal":
            fates.setdefault(name, Counter())[code] += count
            continue
        sets[code] += count
        if at is not None:
            out.append(at)
    told = (
        Told(name, sum(count[fate] for fate in TAKEN), count[Fate.RELEASED])
        for name, count in sorted(fates.items())
    )
    return Letter(
        permission=held, period=period, tz=tz,
        species=tuple(one for one in told if one.taken or one.let_go),
        sets=sets.total(), standing=sets[STANDING], lost=sets[Ended.LOST.value],
        out_at=max(out, default=None),
    )  # fmt: skip
