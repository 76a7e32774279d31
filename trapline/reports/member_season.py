"""A member's season: their checks, findings and sign-offs; then observed against expected."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from trapline.calc.expected import Expected
from trapline.calc.shrinkage import Shrunk
from trapline.ground import sql
from trapline.ground.errors import NotYours
from trapline.lines.selectors import zone_of_team
from trapline.people.models import SignOff
from trapline.reports.members_compared import Compared, compared
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
    compared: Compared


def member_season(team: UUID, member: UUID, period: Period, moment: datetime) -> MemberSeason:
    """The season of one member. Seven statements where the figures are kept: clock, looks, zones,
    duties, findings, sign-offs, the comparison.

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
    told = compared(team, period, moment)
    against, ratio = told.members.get(member, (None, None))
    return MemberSeason(
        member=found[0],
        tz=tz,
        caused=caused,
        mended=mended,
        signed_off=tuple(signed.order_by("given_at")),
        against=against,
        ratio=ratio,
        compared=told,
    )
