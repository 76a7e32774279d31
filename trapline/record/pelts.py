"""Pelts: one or many are so far, or went there, with buyer and price when sold."""

from decimal import Decimal
from typing import Annotated
from uuid import UUID

from pydantic import Field, StringConstraints

from trapline.ground.errors import NeedsReview
from trapline.kept.models import PeltStep
from trapline.kept.selectors import KeptAnimal
from trapline.kept.words import GONE, IN_THE_ROOM, TO_SOMEBODY, PeltState
from trapline.record.acting import Body, Desk, Kind
from trapline.record.kept_animals import taken_animals

MOST = 200
Short = Annotated[str, StringConstraints(strip_whitespace=True, max_length=200)]
Note = Annotated[str, StringConstraints(strip_whitespace=True, max_length=2000)]


class MovePelts(Body):
    """`to`: buyer, receiver or office. `price`: of each pelt; `currency`: ISO 4217."""

    animals: Annotated[list[UUID], Field(min_length=1, max_length=MOST)]
    state: PeltState
    place: Short = ""
    grade: Short = ""
    to: Short = ""
    price: Annotated[Decimal, Field(ge=0, max_digits=12, decimal_places=2)] | None = None
    currency: Annotated[str, Field(pattern="^([A-Z]{3})?$")] = ""
    reference: Short = ""
    note: Note = ""


def apply(desk: Desk, body: MovePelts) -> None:
    if body.state in TO_SOMEBODY and not body.to:
        raise NeedsReview("to", "pelt_to_nobody")
    if body.price is not None and body.state != PeltState.SOLD:
        raise NeedsReview("price", "price_not_sold")
    if (body.price is None) != (body.currency == ""):
        raise NeedsReview("currency", "price_and_currency")
    animals = list(dict.fromkeys(body.animals))
    found = taken_animals(desk, animals, "animals")
    for number, one in enumerate(found):
        _may_move(one, body.state, desk, f"animals.{number}")
    said = body.model_dump(exclude={"animals"})
    PeltStep.objects.bulk_create(
        PeltStep(**desk.written(), by_id=desk.actor.member, animal=one.animal, **said)
        for one in found
    )


def _may_move(one: KeptAnimal, state: PeltState, desk: Desk, field: str) -> None:
    """Forward only: a step that was a mistake is taken back, so that the record says so."""
    was = PeltState(one.pelt) if one.pelt else None
    if was in GONE:
        raise NeedsReview(field, "pelt_gone", number=one.number)
    if one.pelt_at is not None and desk.at < one.pelt_at:
        raise NeedsReview("at", "pelt_told_later", number=one.number)
    in_order = list(IN_THE_ROOM)
    if was in in_order and state in in_order and in_order.index(state) <= in_order.index(was):
        raise NeedsReview(field, "pelt_backwards", number=one.number)


KIND = Kind("move_pelts", {1: MovePelts}, apply)
