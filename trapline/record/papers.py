"""Sign-offs, number books, readings: short acts by those who may."""

from typing import Annotated
from uuid import UUID

from pydantic import Field

from trapline.ground.errors import Held, NeedsReview
from trapline.ground.wake import REDUE, wake
from trapline.lines.models import Line, Reading, Series
from trapline.lines.words import Measured, NumberKind
from trapline.people.change import raise_rule_stamp
from trapline.people.models import Licence, Membership, SignOff, Skill
from trapline.record.acting import Body, Desk, Kind
from trapline.record.after import look_again
from trapline.standing.fold import fold_buried


class GiveSignOff(Body):
    member: UUID
    skill: UUID


def sign_off(desk: Desk, body: GiveSignOff) -> None:
    if not desk.actor.leads:
        raise NeedsReview("member", "only_leaders", what="sign_off")
    if not Membership.objects.filter(id=body.member).exists():
        raise Held("member", body.member)
    if not Skill.objects.filter(id=body.skill).exists():
        raise Held("skill", body.skill)
    SignOff.objects.create(
        id=desk.act, team_id=desk.team, member_id=body.member, skill_id=body.skill,
        given_by_id=desk.actor.member, given_at=desk.at,
    )  # fmt: skip
    look_again(desk, responsible_id=body.member)


class EndSignOff(Body):
    sign_off: UUID


def end_sign_off(desk: Desk, body: EndSignOff) -> None:
    if not desk.actor.leads:
        raise NeedsReview("sign_off", "only_leaders", what="sign_off")
    given = SignOff.objects.filter(id=body.sign_off, ended_at=None)
    member = given.values_list("member_id", flat=True).first()
    if member is None or not given.update(ended_at=desk.at):
        raise Held("sign_off", body.sign_off)
    look_again(desk, responsible_id=member)


class IssueNumbers(Body):
    licence: UUID
    kind: NumberKind
    prefix: str = Field(default="", max_length=20)
    first: int = Field(ge=0, le=2_000_000_000)
    last: int = Field(ge=0, le=2_000_000_000)


def issue_numbers(desk: Desk, body: IssueNumbers) -> None:
    if not desk.actor.leads:
        raise NeedsReview("licence", "only_leaders", what="issue_numbers")
    if body.last < body.first:
        raise NeedsReview("last", "numbers_out_of_order")
    if not Licence.objects.filter(id=body.licence).exists():
        raise Held("licence", body.licence)
    meets = Series.objects.filter(
        kind=body.kind, prefix=body.prefix, first__lte=body.last, last__gte=body.first
    )
    if meets.exists():
        raise NeedsReview("first", "numbers_issued_before")
    Series.objects.create(
        **desk.written(), id=desk.act, licence_id=body.licence,
        **body.model_dump(exclude={"licence"}),
    )  # fmt: skip


class TakeReading(Body):
    reading: UUID
    line: UUID
    what: Measured
    value: Annotated[float, Field(ge=-80, le=1000)]


def take_reading(desk: Desk, body: TakeReading) -> None:
    if not Line.objects.filter(id=body.line).exists():
        raise Held("line", body.line)
    Reading.objects.create(
        **desk.written(), id=body.reading, line_id=body.line, by_id=desk.actor.member,
        what=body.what, value=body.value,
    )  # fmt: skip
    if body.what == Measured.AIR_C:
        # Rules by temperature bind otherwise now; watch/ re-dues the sets.
        raise_rule_stamp(desk.team)
        wake(REDUE)
    else:
        if body.what in (Measured.SNOW_DEPTH_M, Measured.ICE_M):
            fold_buried(desk.team, body.line, desk.at)
        look_again(desk, line_id=body.line)


SIGN_OFF = Kind("sign_off", {1: GiveSignOff}, sign_off)
END_SIGN_OFF = Kind("end_sign_off", {1: EndSignOff}, end_sign_off)
ISSUE_NUMBERS = Kind("issue_numbers", {1: IssueNumbers}, issue_numbers)
TAKE_READING = Kind("take_reading", {1: TakeReading}, take_reading)
