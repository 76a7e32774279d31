"""A member's season: their checks, findings and sign-offs; then observed against expected."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from trapline.calc.expected import Expected, expected
from trapline.calc.shrinkage import Shrunk, integrated
from trapline.ground import sql
from trapline.ground.errors import NotYours
from trapline.lines.selectors import zone_of_team
from trapline.people.models import SignOff
from trapline.reports.period import Period
from trapline.reports.yields import MemberYield, yields

_EARLIEST, _LATEST = datetime(1, 1, 2, tzinfo=UTC), datetime(9999, 12, 30, tzinfo=UTC)


@dataclass(frozen=True)
class MemberSeason:
    """`against`: None where the member has no looks. `ratio`: observed over expected, shrunk to the
    team; None where it says nothing (too little expected, or nobody to compare with)."""

    member: MemberYield
    tz: str
    caused: int
    mended: int
    signed_off: tuple[Any, ...]
    against: Expected | None
    ratio: Shrunk | None


def member_season(team: UUID, member: UUID, period: Period, moment: datetime) -> MemberSeason:
    """The season of one member. Seven statements where the figures are kept: clock, looks, zones,
    duties, findings, sign-offs, strata.

    NotYours when there is no such member.
    """
    tz = zone_of_team(team)
    found = yields(team, period, moment, member=member)
    if not found:
        raise NotYours
    begins, ends = period.instants(tz)
    values = {
        "team": team, "member": member, "begins": begins or _EARLIEST, "ends": ends or _LATEST,
    }  # fmt: skip
    ((caused, mended),) = sql.rows("trapline.reports", "member_findings", values)
    signed = SignOff.objects.filter(team_id=team, member_id=member).select_related("skill")
    against, ratio = _compared(team, member, period)
    return MemberSeason(
        found[0], tz, caused, mended, tuple(signed.order_by("given_at")), against, ratio
    )


def _compared(
    team: UUID, member: UUID, period: Period
) -> tuple[Expected | None, Shrunk | None]:  # fmt: skip
    values = {"team": team, "first": period.first, "last": period.last}
    rows = sql.rows("trapline.reports", "strata", values)
    people = {one: at for at, one in enumerate(dict.fromkeys(row[0] for row in rows))}
    strata = {one: at for at, one in enumerate(dict.fromkeys(row[1:5] for row in rows))}
    told = expected(
        [people[row[0]] for row in rows], [strata[row[1:5]] for row in rows],
        [row[5] for row in rows], [row[6] for row in rows],
    )  # fmt: skip
    if member not in people:
        return None, None
    mine = told[people[member]]
    comparable = {at: one for at, one in told.items() if one.tells}
    if not mine.tells or len(comparable) < 2:
        return mine, None
    shrunk = integrated(
        [one.observed for one in comparable.values()], [one.expected for one in comparable.values()]
    )
    return mine, shrunk[list(comparable).index(people[member])]
