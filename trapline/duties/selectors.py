"""Reads of what is due. `member` narrows to duties and sets of that member; None is all."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from trapline.ground import sql

WAITING, OVERDUE, TODAY, LATER, UNBOUND = "waiting", "overdue", "today", "later", "unbound"


@dataclass(frozen=True)
class Due:
    """An open duty as a person reads it. A duty of a licence has no set and no line."""

    section: str
    total: int  # how many the section has in all
    duty: UUID
    kind: str
    due_at: datetime | None
    basis_at: datetime
    stamp: int
    set: UUID | None
    label: str
    placement: str
    device_class: str
    line: UUID | None
    line_name: str
    tz: str
    who: UUID | None
    who_name: str
    rule_code: str
    authority: str
    waiting: UUID | None
    alive: bool | None
    species: str
    handling: str
    card: str
    note: str


def due_board(
    team: UUID,
    member: UUID | None,
    moment: datetime,
    day_ends: Sequence[tuple[UUID, datetime]],
    most: int,
) -> list[Due]:
    """Open duties in sections, at most `most` of each, the nearest first. One statement.

    day_ends: for each line the end of its local day of `moment`; a duty by then is for today.
    """
    values = {
        "team": team,
        "member": member,
        "moment": moment,
        "lines": [line for line, _ in day_ends],
        "ends": [end for _, end in day_ends],
        "most": most,
    }
    return [Due(*row) for row in sql.rows("trapline.duties", "board", values)]


@dataclass(frozen=True)
class Mark:
    """Duties of one kind on one line that fall due within one stretch of time."""

    line: UUID
    kind: str
    past: bool
    count: int
    first_at: datetime
    last_at: datetime


def due_marks(
    team: UUID, member: UUID | None, moment: datetime, until: datetime, bin_s: int
) -> list[Mark]:
    """What stands on the ribbon: duties by line, kind and stretch of `bin_s`. One statement."""
    values = {"team": team, "member": member, "moment": moment, "until": until, "bin_s": bin_s}
    return [Mark(*row) for row in sql.rows("trapline.duties", "marks", values)]
