"""A catch: the animal, its number from the book, and what it does to the device."""

from dataclasses import dataclass
from uuid import UUID

from django.db.models import F, Q

from trapline.duties.defaults import DISPATCH
from trapline.ground import sql
from trapline.ground.errors import NeedsReview
from trapline.lines.models import Catch, NumberSpent, Series
from trapline.lines.selectors import numbers_adrift
from trapline.lines.words import Fate, NumberKind, NumberUse
from trapline.people.models import SignOff
from trapline.record.acting import Desk
from trapline.record.at_hand import SetAtHand
from trapline.record.check_body import CatchSaid, CheckSaid
from trapline.standing.fold import fold_parts


def dispatch_flags(desk: Desk, body: CheckSaid) -> list[str]:
    """Whether each dispatch was by someone signed off for it. One statement if there was one."""
    by = {
        catch.dispatched_by or desk.actor.member
        for catch in body.catches
        if catch.fate == Fate.DISPATCHED
    }
    if not by:
        return []
    signed = SignOff.objects.filter(
        Q(ended_at=None) | Q(ended_at__gt=desk.at),
        member_id__in=by,
        skill__code=DISPATCH,
        given_at__lte=desk.at,
    )
    return [] if by <= set(signed.values_list("member_id", flat=True)) else [
        "dispatcher_not_signed_off"
    ]  # fmt: skip


def write_catches(desk: Desk, hand: SetAtHand, body: CheckSaid) -> list[Catch]:
    """Write the animals, use their numbers, spend the device's parts. Two to six statements."""
    _use_numbers(desk, hand, body.catches)  # first: a number is free while no catch bears it
    caught = [_row(desk, hand, body.check, catch) for catch in body.catches]
    Catch.objects.bulk_create(caught)
    parts = sql.rows(
        "trapline.record",
        "caught",
        {"team": desk.team, "set": hand.id, "act": desk.act, "at": desk.at},
    )
    if parts:  # out of a device, none of them comes into stock: what lies there stays as it was
        fold_parts(desk.team, [part for (part,) in parts])
    return caught


def _row(desk: Desk, hand: SetAtHand, check: UUID, catch: CatchSaid) -> Catch:
    said = catch.model_dump(exclude={"species", "dispatched_by", "is_target"})
    killed_by = catch.dispatched_by or desk.actor.member
    return Catch(
        **desk.written(),
        **said,
        check_made_id=check,
        species_id=catch.species,
        is_target=catch.species in hand.targets if catch.is_target is None else catch.is_target,
        dispatched_by_id=killed_by if catch.fate == Fate.DISPATCHED else None,
        licence_id=hand.licence,
        zone_id=hand.zone,
    )


@dataclass(frozen=True)
class _Asked:
    """A number as it was typed for an animal, and where it stands in a book."""

    field: str
    text: str
    series: UUID
    number: int
    animal: UUID


def _use_numbers(desk: Desk, hand: SetAtHand, catches: list[CatchSaid]) -> None:
    """Each site tag and seal comes from a book of the set's licence, once. Three statements.

    A correction tells of the same animal under the number that it already has, and so does a check
    that logs an animal anew whose catch was withdrawn. One statement more if a number is known.
    """
    asked = _asked(hand, catches)
    if not asked:
        return
    spent = NumberSpent.objects.filter(
        series_id__in={one.series for one in asked}, number__in={one.number for one in asked}
    ).order_by(F("replaces_id").asc(nulls_first=True))  # the last word on a number comes last
    before = {
        (series, number): animal
        for series, number, animal in spent.values_list("series_id", "number", "animal")
    }
    adrift = {(one.series, one.number) for one in numbers_adrift(desk.team)} if before else set()
    used: dict[tuple[UUID, int], UUID] = {}
    for one in asked:
        key = (one.series, one.number)
        if before.get(key) == one.animal and key in adrift:
            continue
        if key in before or key in used:
            raise NeedsReview(one.field, "number_spent", number=one.text)
        used[key] = one.animal
    NumberSpent.objects.bulk_create(
        NumberSpent(
            **desk.written(), series_id=series, number=number, use=NumberUse.USED, animal=animal
        )
        for (series, number), animal in used.items()
    )


def _asked(hand: SetAtHand, catches: list[CatchSaid]) -> list[_Asked]:
    said = [
        (f"catches.{row}.{field}", field, getattr(catch, field), catch.animal)
        for row, catch in enumerate(catches)
        for field in (NumberKind.SITE_TAG.value, NumberKind.SEAL.value)
        if getattr(catch, field)
    ]
    books = list(Series.objects.filter(licence_id=hand.licence)) if said else []
    asked = []
    for field, kind, text, animal in said:
        hit = next((hit for book in books if (hit := _in_book(book, kind, text))), None)
        if hit is None:
            raise NeedsReview(field, "number_not_in_book", number=text)
        asked.append(_Asked(field, text, *hit, animal))
    return asked


def _in_book(book: Series, kind: str, text: str) -> tuple[UUID, int] | None:
    digits = text.removeprefix(book.prefix)
    if book.kind != kind or not text.startswith(book.prefix) or not digits.isdecimal():
        return None
    number = int(digits)
    return (book.id, number) if book.first <= number <= book.last else None
