"""The yield table: how each member's checks went and what they gave. Never ranked by catch."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import numpy as np

from trapline.calc.effort import Outcome, intervals
from trapline.calc.rates import RateFigure, target_rate
from trapline.ground import sql
from trapline.lines.models import Line
from trapline.lines.words import Found
from trapline.reports.harvest import tenths_of_hours
from trapline.reports.period import Period

_OUTCOMES = {
    Found.IN_ORDER: Outcome.UNDISTURBED,
    Found.SPRUNG: Outcome.SPRUNG_EMPTY,
    # When it went out of service nobody wrote down: such an interval is left out of the rate.
    Found.DAMAGED: Outcome.OUT_OF_SERVICE,
    Found.BURIED: Outcome.OUT_OF_SERVICE,
    Found.GONE: Outcome.OUT_OF_SERVICE,
}


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


def yields(
    team: UUID, period: Period, moment: datetime, *, member: UUID | None = None
) -> list[MemberYield]:
    """The members by name; with `member`, that one only. Two statements: zones, everything else.

    A duty counts on the day it was done, or fell due when it is not done; a look on its own day.
    """
    zones = list(Line.objects.filter(team_id=team).values_list("tz", flat=True).distinct())
    spans = [period.instants(tz) for tz in zones]
    rows = sql.rows(
        "trapline.reports",
        "yields",
        {
            "team": team, "member": member, "moment": moment,
            "first": period.first, "last": period.last, "zones": zones,
            "begins": [begins for begins, _ in spans], "ends": [ends for _, ends in spans],
        },
    )  # fmt: skip
    return [_row(*row) for row in rows]


def _row(
    member: UUID, name: str, role: str, in_time: int, asked: int, looks: int, nights: float,
    targets: int, others: int, median: timedelta | None, most: timedelta | None, *each: Any,
) -> MemberYield:  # fmt: skip
    return MemberYield(
        member=member,
        name=name,
        role=role,
        checks_in_time=in_time,
        checks_asked=asked,
        hours_held_median=None if median is None else tenths_of_hours(median),
        hours_held_most=None if most is None else tenths_of_hours(most),
        non_targets=others,
        looks=looks,
        nights=nights,
        targets=targets,
        rate=_rate(*each) if looks else None,
    )


def outcomes(found: list[str], target: list[bool]) -> list[int]:
    """What each interval tells a rate, from what its check found and whether a target was held."""
    caught = [Outcome.TARGET if hit else Outcome.NON_TARGET for hit in target]
    return [int(_OUTCOMES.get(Found(was), hit)) for was, hit in zip(found, caught, strict=True)]


def _rate(
    nights: list[float], found: list[str], target: list[bool], sets: list[UUID]
) -> RateFigure:
    _, set_of = np.unique([key.int for key in sets], return_inverse=True)
    return target_rate(intervals(nights, outcomes(found, target), set_of=set_of))
