"""The groups of a yield page as they were reckoned, kept until what they rest on changes.

Nothing needs to be told of a change: a list is right while the team's change count is the same; a
group in it while what it rests on has the same print, which is read from the sets and not from
their looks; and a figure while the tallies it was reckoned from have the same revision.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import Subquery

from trapline.calc.rates import RateFigure
from trapline.ground import clock, sql
from trapline.ground.ids import new_id
from trapline.people.models import Team
from trapline.reports.figures import Figure
from trapline.reports.models import Reckoned
from trapline.reports.period import Period

MOST_AHEAD = 20  # lists of a team that a worker keeps right


@dataclass(frozen=True)
class Asked:
    """What a list of groups was asked for."""

    team: UUID
    by: str
    period: Period
    member: UUID | None


@dataclass
class Counted:
    """A group's sums. `live`: some of it stands in no tally yet, so the revision says nothing."""

    label: str
    looks: int
    nights: float
    targets: int
    others: int
    alive: int
    escaped: int
    unknown: int
    live: bool
    tallies: int
    revisions: int

    def add(self, more: Counted) -> None:
        """Take another set of the group in."""
        for name in _SUMS:
            setattr(self, name, getattr(self, name) + getattr(more, name))
        self.live = self.live or more.live

    def rests_on_the_same(self, other: Counted) -> bool:
        """Whether both were counted from tallies of one content."""
        mine, theirs = ((one.live, one.tallies, one.revisions) for one in (self, other))
        return not self.live and mine == theirs


_SUMS = (
    "looks", "nights", "targets", "others", "alive", "escaped", "unknown", "tallies", "revisions",
)  # fmt: skip
Reckonings = dict[str, tuple[Counted, Figure]]


@dataclass(frozen=True)
class Kept:
    """`change`: the team's change count now. `right`: nothing has changed since."""

    change: int
    right: bool
    groups: Reckonings
    prints: dict[str, int]


def kept(asked: Asked) -> Kept:
    """What was reckoned before. One statement."""
    values = {
        "team": asked.team, "by": asked.by, "first": asked.period.first, "last": asked.period.last,
        "member": asked.member,
    }  # fmt: skip
    ((now, then, groups, prints),) = sql.rows("trapline.reports", "kept", values)
    read = {
        key: (Counted(**counted), _figure(told))
        for key, counted, told in json.loads(groups or "[]")
    }
    return Kept(now, now == then, read, json.loads(prints or "{}"))


@dataclass(frozen=True)
class Print:
    """What a group rests on, told without reading it. `sets`: None where groups share sets."""

    key: str
    label: str
    content: int
    live: bool
    sets: list[UUID] | None

    def same(self, prints: dict[str, int]) -> bool:
        """Whether nothing it rests on has changed since these prints."""
        return not self.live and prints.get(self.key) == self.content


def prints_of(asked: Asked) -> list[Print]:
    """The prints of a list's groups in its order, or one for all. One statement."""
    values = {"team": asked.team, "by": asked.by}
    return [Print(*row) for row in sql.rows("trapline.reports", "prints", values, kept=False)]


def keep(
    asked: Asked, change: int, prints: list[Print], groups: Reckonings, *, ahead: bool = False
) -> None:
    """Keep what was reckoned; change and prints were read before the record was. One statement.

    ahead: nobody has asked for it just now, so that it is dropped when it would have been.
    """
    told = [[key, asdict(counted), asdict(figure)] for key, (counted, figure) in groups.items()]
    row = Reckoned(
        id=new_id(), team_id=asked.team, by=asked.by, first=asked.period.first,
        last=asked.period.last, member_id=asked.member, change=change, groups=told, at=clock.now(),
        prints={one.key: one.content for one in prints},
    )  # fmt: skip
    Reckoned.objects.bulk_create(
        [row],
        update_conflicts=True,
        unique_fields=["team", "by", "first", "last", "member"],
        update_fields=["change", "groups", "prints", *([] if ahead else ["at"])],
    )


def outdated(team: UUID, since: datetime) -> list[Asked]:
    """The lists asked for since a moment that are not of the team's change count now, those asked

    for last first. One statement.
    """
    now = Team.objects.filter(id=team).values("change_count")[:1]
    rows = Reckoned.objects.filter(team_id=team, at__gte=since).exclude(change=Subquery(now))
    names = ("by", "first", "last", "member_id")
    return [
        Asked(team, by, Period(first, last), member)
        for by, first, last, member in rows.order_by("-at").values_list(*names)[:MOST_AHEAD]
    ]


def forget(team: UUID, before: datetime) -> int:
    """Drop what was reckoned before a moment: whoever asks again reckons again. One statement."""
    gone, _ = Reckoned.objects.filter(team_id=team, at__lt=before).delete()
    return int(gone)


def _figure(told: dict[str, Any]) -> Figure:
    return Figure(**{**told, "rate": RateFigure(**told["rate"])})
