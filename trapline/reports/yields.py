"""The yield table: how each member's checks went and what they gave. Never ranked by catch."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from trapline.calc.devices import Share, share
from trapline.calc.rates import RateFigure
from trapline.ground import sql
from trapline.lines.models import Line
from trapline.reports.grouped import Group, grouped
from trapline.reports.period import Period


@dataclass(frozen=True)
class MemberYield:
    """One member's row. Checks in time: of the check duties that were theirs and are done or

    overdue. All else: of the looks they took themselves. A trap-night is 24 hours of one device.
    """

    member: UUID
    name: str
    role: str
    checks_in_time: int
    checks_asked: int
    hours_held_median: float | None  # possibly held: found less last visit; tenths, rounded up
    hours_held_most: float | None
    non_targets: int
    looks: int
    nights: float
    targets: int
    rate: RateFigure | None  # per device-night at these sets; None without a look

    @property
    def non_target(self) -> Share:
        """Non-target animals of all that were found."""
        return share(self.non_targets, self.non_targets + self.targets)


def yields(
    team: UUID, period: Period, moment: datetime, *, member: UUID | None = None
) -> list[MemberYield]:
    """The members by name; with `member`, that one only.

    Two statements, zones and duties, beside those of the looks (`grouped`). A duty counts on the
    day it was done, or fell due when it is not done; a look on its own day.
    """
    looked = {UUID(one.key): one for one in grouped(team, "member", period, member=member)}
    zones = list(Line.objects.filter(team_id=team).values_list("tz", flat=True).distinct())
    spans = [period.instants(tz) for tz in zones]
    rows = sql.rows(
        "trapline.reports",
        "yields",
        {
            "team": team, "member": member, "moment": moment, "zones": zones,
            "begins": [begins for begins, _ in spans], "ends": [ends for _, ends in spans],
            "looked": list(looked),
        },
    )  # fmt: skip
    return [_row(row, looked.get(row[0])) for row in rows]


def _row(said: tuple[Any, ...], looked: Group | None) -> MemberYield:
    member, name, role, in_time, asked = said
    figure = looked.figure if looked else None
    return MemberYield(
        member=member,
        name=name,
        role=role,
        checks_in_time=in_time,
        checks_asked=asked,
        hours_held_median=figure.hours_held_median if figure else None,
        hours_held_most=figure.hours_held_most if figure else None,
        non_targets=looked.others if looked else 0,
        looks=looked.looks if looked else 0,
        nights=looked.nights if looked else 0.0,
        targets=looked.targets if looked else 0,
        rate=figure.rate if figure else None,
    )
