"""An animal is waiting in a set: an alarm before it is a catch. Raised, and closed once."""

from typing import Annotated, Self
from uuid import UUID

from django.db.models import Q
from pydantic import Field, model_validator

from trapline.duties.defaults import DISPATCH
from trapline.duties.models import Kind as DutyKind
from trapline.duties.single import close, open_now
from trapline.ground.errors import Held, NeedsReview
from trapline.lines.models import Waiting, WaitingEnd
from trapline.lines.selectors import ends_in_effect
from trapline.lines.words import Fate
from trapline.people.models import Membership, SignOff
from trapline.record.acting import Body, Desk, Kind
from trapline.record.at_hand import set_at_hand
from trapline.record.geo import LonLat, point
from trapline.record.waiting_ends import fallen_end, owe_catch

Short = Annotated[str, Field(max_length=2000)]


class AnimalWaiting(Body):
    waiting: UUID
    set: UUID
    alive: bool = True
    species: UUID | None = None
    note: Short = ""
    position: LonLat | None = None


class CloseWaiting(Body):
    waiting: UUID
    fate: Fate
    means: Short = ""
    condition: Short = ""
    handed_to: Short = ""
    reference: Short = ""

    @model_validator(mode="after")
    def whole(self) -> Self:
        if self.fate == Fate.HANDED and not self.handed_to:
            raise ValueError("say to whom the animal was handed")
        if self.fate == Fate.DISPATCHED and not self.means:
            raise ValueError("say by what means it was dispatched")
        if self.fate == Fate.RELEASED and not self.condition:
            raise ValueError("say in what condition it was released")
        return self


def raise_alarm(desk: Desk, body: AnimalWaiting) -> None:
    # An animal cannot wait until the record is right: a set that was handed over or pulled since
    # may hold one all the same.
    hand = set_at_hand(desk, body.set, once_theirs=True)
    Waiting.objects.create(
        **desk.written(), id=body.waiting, set_id=hand.id, by_id=desk.actor.member,
        alive=body.alive, species_id=body.species, note=body.note,
        position=point(body.position),
    )  # fmt: skip
    open_now(
        desk.team, DutyKind.WAITING, at=desk.at, moment=desk.received_at, who=_answers(desk),
        of_line=hand.line, waiting_id=body.waiting,
    )  # fmt: skip


def _answers(desk: Desk) -> UUID:
    """Who is asked to come: the finder if signed off for dispatch, else their instructor, else

    whoever leads. One statement.
    """
    signed = SignOff.objects.filter(
        Q(ended_at=None) | Q(ended_at__gt=desk.at), skill__code=DISPATCH, given_at__lte=desk.at
    ).values("member_id")
    me = Membership.objects.filter(id=desk.actor.member)
    if me.filter(id__in=signed).exists():
        return desk.actor.member
    instructor = me.values_list("instructor_id", flat=True).first()
    if instructor is not None:
        return instructor  # type: ignore[no-any-return]
    lead = Membership.objects.filter(ended_at=None, role__in=("instructor", "manager"))
    return lead.order_by("role", "id").values_list("id", flat=True).first() or desk.actor.member


def answer(desk: Desk, body: CloseWaiting) -> None:
    waiting = Waiting.objects.filter(id=body.waiting).first()
    if waiting is None:
        raise Held("waiting", body.waiting)
    set_at_hand(desk, waiting.set_id, "waiting")
    if ends_in_effect().filter(waiting_id=waiting.id).exists():
        raise NeedsReview("waiting", "waiting_ended_before")
    WaitingEnd.objects.create(
        **desk.written(), **_said(body), by_id=desk.actor.member,
        replaces_id=fallen_end(waiting.id),
    )  # fmt: skip
    close(
        desk.team, DutyKind.WAITING, at=desk.at, moment=desk.received_at, act=desk.act,
        waiting_id=waiting.id,
    )  # fmt: skip
    if body.fate != Fate.GOT_AWAY:
        owe_catch(desk, waiting)


def _said(body: CloseWaiting) -> dict[str, object]:
    return {"waiting_id": body.waiting, **body.model_dump(exclude={"waiting"})}


RAISE = Kind("animal_waiting", {1: AnimalWaiting}, raise_alarm)
CLOSE = Kind("close_waiting", {1: CloseWaiting}, answer)
