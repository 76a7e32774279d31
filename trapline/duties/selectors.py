"""Reads of what is due. `member` narrows to duties and sets of that member; None is all."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from trapline.ground import sql
from trapline.ground.errors import NotYours
from trapline.standing.selectors import LineInPlay

WAITING, OVERDUE, TODAY, LATER, UNBOUND = "waiting", "overdue", "today", "later", "unbound"


# Pulls, renewals and filings are open for months; *today* shows what is not so far ahead.
HORIZON = timedelta(days=30)
SECTIONS = (WAITING, OVERDUE, TODAY, LATER, UNBOUND)


@dataclass(frozen=True)
class Tally:
    """Duties of one kind, section and line that fall due within one stretch of time.

    The line is None for a duty of a licence, the moments for what no rule binds to a time.
    """

    line: UUID | None
    kind: str
    section: str
    count: int
    first_at: datetime | None
    last_at: datetime | None


@dataclass(frozen=True)
class Asked:
    """Whose duties, and when: `member` narrows to that member's; None is all.

    lines: those it may be about, and for each the end of its local day of `moment`; a duty by
    then is for today.
    """

    team: UUID
    member: UUID | None
    moment: datetime
    lines: Sequence[LineInPlay]
    day_ends: Sequence[datetime]

    def values(self) -> dict[str, Any]:
        return {
            "horizon": self.moment + HORIZON,
            "first_end": min(self.day_ends, default=self.moment),
            "last_end": max(self.day_ends, default=self.moment),
            "team": self.team,
            "member": self.member,
            "moment": self.moment,
            "lines": [line.id for line in self.lines],
            "ends": list(self.day_ends),
        }


def due_tally(asked: Asked, until: datetime, bin_s: int) -> list[Tally]:
    """Open duties by line, kind, section and stretch of `bin_s` up to `until`. One statement."""
    values = asked.values() | {"until": until, "bin_s": bin_s}
    return [Tally(*row) for row in sql.rows("trapline.duties", "tally", values)]


@dataclass(frozen=True)
class Due:
    """An open duty as a person reads it. A duty of a licence has no set and no line."""

    section: str
    duty: UUID
    kind: str
    due_at: datetime | None
    basis_at: datetime
    stamp: int
    set: UUID | None
    label: str
    device_class: str
    line: LineInPlay | None
    who: UUID | None
    who_name: str
    waiting: UUID | None
    alive: bool | None
    species: str
    handling: str
    card: str
    note: str
    permission: UUID | None
    part_kind: UUID | None
    about: str  # a permission's name, a licence's number, a kind of part
    clock: str = "UTC"  # the team's, for what is done on no line

    @property
    def line_name(self) -> str:
        return self.line.name if self.line else ""

    @property
    def tz(self) -> str:
        return self.line.tz if self.line else self.clock


LINE_AT = 9  # where a row of board.sql has its line's id


def due_board(asked: Asked, most: Mapping[str, int]) -> list[Due]:
    """The nearest open duties of each section, at most so many of each. One statement."""
    values = asked.values() | {section: most.get(section, 0) for section in SECTIONS}
    lines = {line.id: line for line in asked.lines}
    clock = asked.lines[0].tz if asked.lines else "UTC"
    rows = sql.rows("trapline.duties", "board", values)
    return [
        Due(*[*row[:LINE_AT], lines.get(row[LINE_AT]), *row[LINE_AT + 1 :], clock]) for row in rows
    ]


@dataclass(frozen=True)
class SetOnLine:
    """A set in a line's list: how it stands and when its next check is due."""

    id: UUID
    label: str
    active: bool
    ended: str
    lat: float
    lon: float
    placement: str
    device_class: str
    kind: str
    mark: str
    responsible: UUID
    responsible_name: str
    last_visit_at: datetime
    last_found: str
    tz: str
    line: UUID
    line_name: str
    due_at: datetime | None
    stamp: int | None  # None: no check duty is open
    waiting: bool
    searching: bool


def sets_on_lines(
    team: UUID,
    member: UUID | None,
    *,
    lines: Sequence[UUID] | None = None,
    ended: bool = False,
    most: int = 500,
) -> list[SetOnLine]:
    """Active (or ended) sets of some lines, or of all; the nearest due first. One statement."""
    values = {
        "team": team,
        "member": member,
        "lines": None if lines is None else list(lines),
        "active": not ended,
        "most": most,
    }
    return [SetOnLine(*row) for row in sql.rows("trapline.duties", "on_lines", values)]


@dataclass(frozen=True)
class OpenDuty:
    """A duty of one set that is open, with the rule it comes from."""

    id: UUID
    kind: str
    due_at: datetime | None
    basis_at: datetime
    stamp: int
    who_name: str
    rule_code: str
    authority: str
    waiting: UUID | None
    alive: bool | None
    species: str
    handling: str
    card: str
    note: str


def duties_of_set(team: UUID, set_id: UUID) -> list[OpenDuty]:
    """What is open on a set, alarms first. One statement."""
    values = {"team": team, "set": set_id}
    return [OpenDuty(*row) for row in sql.rows("trapline.duties", "of_set", values)]


@dataclass(frozen=True)
class DutyAtHand:
    """A duty that evidence closes, and what it is about."""

    id: UUID
    kind: str
    due_at: datetime | None
    basis_at: datetime
    state: str
    set: UUID | None
    label: str
    tz: str
    species: str
    about: str  # a licence's number
    rule_code: str
    authority: str
    check: UUID | None  # at which the animal was found
    checked_by: UUID | None


def access_duty(team: UUID, duty: UUID, member: UUID | None) -> DutyAtHand:
    """A duty to be shown done. One statement. NotYours when it is not there, or not the member's.

    Theirs: asked of them, of an animal they checked, or of a licence they hold.
    """
    values = {"team": team, "duty": duty, "member": member}
    rows = sql.rows("trapline.duties", "one", values)
    if not rows:
        raise NotYours
    return DutyAtHand(*rows[0])


@dataclass(frozen=True)
class Event:
    """Something that happened to a set. `told` holds what was said, by kind of event."""

    at: datetime
    kind: str  # check, placed, moved, raised, remade, handed_over, ended, waiting, ..., duty
    id: UUID
    by: str
    by_id: UUID | None
    received_at: datetime | None
    told: dict[str, Any]

    @property
    def late(self) -> bool:
        """Whether it came in more than two minutes after it was done."""
        return self.received_at is not None and self.received_at - self.at > timedelta(minutes=2)


def timeline(team: UUID, set_id: UUID, most: int = 100) -> list[Event]:
    """What happened to a set, the newest first. One statement."""
    values = {"team": team, "set": set_id, "most": most}
    rows = sql.rows("trapline.duties", "timeline", values)
    return [Event(*[*row[:-1], json.loads(row[-1])]) for row in rows]


@dataclass(frozen=True)
class NoticeShown:
    """A notice of the outbox as people read it."""

    id: UUID
    made_at: datetime
    state: str
    stage: int
    channel: str
    to: str
    attempts: int
    retry_after: datetime
    sent_at: datetime | None
    error: str
    kind: str
    due_at: datetime | None
    set: UUID | None
    label: str
    line_name: str
    tz: str
    offset_s: int | None  # of its stage; None when the stages were set anew since


def notices(team: UUID, member: UUID | None, most: int) -> list[NoticeShown]:
    """Notices, the latest first; with a member, those to them. One statement."""
    values = {"team": team, "member": member, "most": most}
    return [NoticeShown(*row) for row in sql.rows("trapline.duties", "notices", values)]
