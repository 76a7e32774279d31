"""A catch: the animal, its number from the book, and what it does to the device."""

from uuid import UUID

from django.db.models import Q

from trapline.duties.defaults import DISPATCH
from trapline.duties.models import Kind as DutyKind
from trapline.duties.single import close
from trapline.ground import sql
from trapline.ground.errors import Held, NeedsReview
from trapline.lines.models import Catch, NumberSpent, Series, Waiting, WaitingEnd
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


def write_catches(desk: Desk, hand: SetAtHand, body: CheckSaid) -> None:
    """Write the animals, use their numbers, spend the device's parts. Four or five statements."""
    Catch.objects.bulk_create(_row(desk, hand, body.check, catch) for catch in body.catches)
    _use_numbers(desk, hand, body.catches)
    parts = sql.rows(
        "trapline.record",
        "caught",
        {"team": desk.team, "set": hand.id, "act": desk.act, "at": desk.at},
    )
    if parts:
        fold_parts(desk.team, [part for (part,) in parts])


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


def _use_numbers(desk: Desk, hand: SetAtHand, catches: list[CatchSaid]) -> None:
    """Each site tag and seal comes from a book of the set's licence, once."""
    asked = [
        (f"catches.{row}.{field}", field, getattr(catch, field), catch.animal)
        for row, catch in enumerate(catches)
        for field in (NumberKind.SITE_TAG.value, NumberKind.SEAL.value)
        if getattr(catch, field)
    ]
    if not asked:
        return
    books = list(Series.objects.filter(licence_id=hand.licence))
    used = []
    for field, kind, text, animal in asked:
        found = next((hit for book in books if (hit := _in_book(book, kind, text))), None)
        if found is None:
            raise NeedsReview(field, "number_not_in_book", number=text)
        used.append(
            NumberSpent(
                **desk.written(),
                series_id=found[0],
                number=found[1],
                use=NumberUse.USED,
                animal=animal,
            )
        )
    NumberSpent.objects.bulk_create(used)


def _in_book(book: Series, kind: str, text: str) -> tuple[UUID, int] | None:
    digits = text.removeprefix(book.prefix)
    if book.kind != kind or not text.startswith(book.prefix) or not digits.isdecimal():
        return None
    number = int(digits)
    return (book.id, number) if book.first <= number <= book.last else None


def end_waiting(desk: Desk, body: CheckSaid) -> None:
    """The animal that was waiting is the one caught: the alarm is answered."""
    waiting = Waiting.objects.filter(id=body.ends_waiting, set_id=body.set).first()
    if waiting is None:
        raise Held("ends_waiting", body.ends_waiting or body.check)
    first = body.catches[0] if body.catches else None
    WaitingEnd.objects.create(
        **desk.written(),
        waiting_id=waiting.id,
        by_id=desk.actor.member,
        fate=first.fate if first else Fate.GOT_AWAY,
        means=first.means if first else "",
        condition=first.condition if first else "",
        handed_to=first.handed_to if first else "",
        reference=first.reference if first else "",
    )
    close(
        desk.team, DutyKind.WAITING, at=desk.at, moment=desk.received_at, act=desk.act,
        waiting_id=waiting.id,
    )  # fmt: skip
