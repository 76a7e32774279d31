"""A number of a book goes another way than on an animal: void, lost, or returned."""

from typing import Annotated, Literal
from uuid import UUID

from pydantic import Field

from trapline.ground.errors import Held, NeedsReview
from trapline.lines.models import NumberSpent, Series
from trapline.lines.selectors import numbers_adrift
from trapline.record.acting import Body, Desk, Kind

Aside = Literal["void", "lost", "returned"]


class SpendNumber(Body):
    """A run of numbers of one book, from `number` to `last` (that one only, if not said)."""

    series: UUID
    number: Annotated[int, Field(ge=0, le=2_000_000_000)]
    last: Annotated[int, Field(ge=0, le=2_000_000_000)] | None = None
    use: Aside


MOST = 1000


def apply(desk: Desk, body: SpendNumber) -> None:
    if not desk.actor.leads:
        raise NeedsReview("number", "only_leaders", what="spend_number")
    book = Series.objects.filter(id=body.series).first()
    if book is None:
        raise Held("series", body.series)
    last = body.number if body.last is None else body.last
    if last < body.number:
        raise NeedsReview("last", "numbers_out_of_order")
    if body.number < book.first or last > book.last:
        wrong = body.number if body.number < book.first else last
        raise NeedsReview("number", "number_not_in_book", number=f"{book.prefix}{wrong}")
    if last - body.number >= MOST:
        raise NeedsReview("last", "too_many_numbers", most=MOST)
    _spend(desk, book, range(body.number, last + 1), body.use)


def _spend(desk: Desk, book: Series, numbers: range, use: str) -> None:
    """Write each number's row; one that a withdrawn catch had used is replaced. Three statements.

    A number on an animal of the record, and one that went another way before, stays as it is.
    """
    adrift = {one.number: one.id for one in numbers_adrift(desk.team, book.id)}
    there = NumberSpent.objects.filter(series_id=book.id, number__in=numbers)
    for number in there.order_by("number").values_list("number", flat=True):
        if number not in adrift:
            raise NeedsReview("number", "number_spent", number=f"{book.prefix}{number}")
    NumberSpent.objects.bulk_create(
        NumberSpent(
            **desk.written(), series_id=book.id, number=number, use=use,
            replaces_id=adrift.get(number),
        )
        for number in numbers
    )  # fmt: skip


KIND = Kind("spend_number", {1: SpendNumber}, apply)
