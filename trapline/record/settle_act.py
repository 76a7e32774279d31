"""A reviewer decides on an act that could not simply be applied: take it in, or decline it."""

from collections.abc import Callable
from functools import partial
from typing import Annotated
from uuid import UUID

from pydantic import Field

from trapline.ground.errors import Held, NeedsReview, NotYours
from trapline.journal.models import Act, ActState
from trapline.people.rights import access_member
from trapline.record import envelope as env
from trapline.record.acting import Body, Desk, Kind


class SettleAct(Body):
    act: UUID
    accept: bool
    note: Annotated[str, Field(max_length=2000)] = ""


KindOf = Callable[[str, int], Kind]


def kind_that_settles(kind_of: KindOf) -> Kind:
    """The kind of this act; `kind_of` knows every kind, and so this one too."""
    return Kind("settle_act", {1: SettleAct}, partial(_apply, kind_of))


def _apply(kind_of: KindOf, desk: Desk, body: SettleAct) -> None:
    if not desk.actor.leads:
        raise NeedsReview("act", "only_leaders", what="settle_act")
    waiting = (
        Act.objects.select_for_update()
        .filter(id=body.act, state__in=(ActState.REVIEW, ActState.HELD))
        .first()
    )
    if waiting is None:
        raise Held("act", body.act)
    if body.accept:
        _take_in(kind_of, desk, waiting)
    Act.objects.filter(id=waiting.id).update(
        state=ActState.APPLIED if body.accept else ActState.DECLINED,
        settled_at=desk.at,
        settled_by_id=desk.actor.member,
    )


def _take_in(kind_of: KindOf, desk: Desk, waiting: Act) -> None:
    """Apply it as it was sent, at its own time, with the reviewer's leave."""
    letter = env.parse(bytes(waiting.body))
    kind = kind_of(letter.kind, letter.version)
    try:
        actor = access_member(desk.actor, waiting.acted_by_id)
    except NotYours:
        raise Held("act", waiting.id) from None
    again = Desk(
        actor=actor, sender=desk.actor, act=waiting.id, at=waiting.acted_at,
        received_at=desk.received_at, clock_flagged=waiting.clock_flagged, overruled=True,
        flags=["reviewed"],
    )  # fmt: skip
    kind.apply(again, kind.read(letter.body, letter.version))
