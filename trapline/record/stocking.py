"""Parts come into stock, are looked over, break, are lost, are put away: in any number at once."""

from typing import Annotated, Literal
from uuid import UUID

from pydantic import Field, StringConstraints

from trapline.gear.models import Part, PartFact, PartKind, PartState
from trapline.ground.errors import Held, NeedsReview
from trapline.ground.ids import new_id
from trapline.record.acting import Body, Desk, Kind
from trapline.record.parts import must_lie_idle, parts_moved
from trapline.standing.models import PartStay

Place = Annotated[str, StringConstraints(strip_whitespace=True, max_length=120)]
Mark = Annotated[str, StringConstraints(strip_whitespace=True, max_length=60)]
Why = Literal["", "worn", "inspected", "mended", "found", "other"]


class NewPart(Body):
    """One part as it comes into stock."""

    part: UUID = Field(default_factory=new_id)
    mark: Mark = ""


class StockParts(Body):
    """Parts of one kind that were bought or made."""

    kind: UUID
    parts: Annotated[list[NewPart], Field(min_length=1, max_length=500)]
    place: Place = ""


def stock_parts(desk: Desk, body: StockParts) -> None:
    if not desk.actor.leads:
        raise NeedsReview("kind", "only_leaders", what="stock_parts")
    if not PartKind.objects.filter(id=body.kind).exists():
        raise Held("kind", body.kind)
    ids = [one.part for one in body.parts]
    if len(set(ids)) < len(ids) or Part.objects.filter(id__in=ids).exists():
        raise NeedsReview("parts", "part_twice")
    Part.objects.bulk_create(
        Part(**desk.written(), id=one.part, kind_id=body.kind, mark=one.mark) for one in body.parts
    )
    _write(desk, ids, PartState.STOCK, body.place, "bought")


class PutParts(Body):
    """Parts that are somewhere are somewhere else, or in another state, from now on.

    A part that is put away says why: worn out is a failure, anything else is not.
    """

    parts: Annotated[list[UUID], Field(min_length=1, max_length=500)]
    state: Literal[
        PartState.STOCK, PartState.INSPECT, PartState.SPENT, PartState.BROKEN, PartState.LOST,
        PartState.RETIRED,
    ]  # fmt: skip
    place: Place = ""
    why: Why = ""


def put_parts(desk: Desk, body: PutParts) -> None:
    if not desk.actor.leads:
        raise NeedsReview("parts", "only_leaders", what="put_parts")
    if body.state == PartState.RETIRED and body.why not in ("worn", "other"):
        raise NeedsReview("why", "retired_says_why")
    rows = PartStay.objects.filter(part_id__in=body.parts, during__contains=desk.at)
    stays = dict(rows.values_list("part_id", "device_id"))
    if missing := set(body.parts) - set(stays):
        raise Held("parts", missing.pop())
    must_lie_idle({device for device in stays.values() if device}, "parts")
    _write(desk, list(stays), body.state, body.place, body.why)


def _write(desk: Desk, parts: list[UUID], state: PartState, place: str, why: str) -> None:
    PartFact.objects.bulk_create(
        PartFact(**desk.written(), part_id=part, state=state, place=place, why=why)
        for part in parts
    )
    parts_moved(desk, parts)


KINDS = (
    Kind("stock_parts", {1: StockParts}, stock_parts),
    Kind("put_parts", {1: PutParts}, put_parts),
)
