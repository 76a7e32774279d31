"""Hand a set over: the duty to look after it moves, the licence never does."""

from uuid import UUID

from trapline.ground.errors import Held, NeedsReview
from trapline.lines.models import Arrangement
from trapline.lines.words import Cause
from trapline.people.models import Membership
from trapline.record.acting import Body, Desk, Kind
from trapline.record.after import settle
from trapline.record.at_hand import must_stand, set_at_hand


class HandOver(Body):
    set: UUID
    to: UUID


def apply(desk: Desk, body: HandOver) -> None:
    hand = set_at_hand(desk, body.set)
    must_stand(desk, hand)
    if not desk.actor.leads:
        raise NeedsReview("to", "only_leaders", what="hand_over")
    if not Membership.objects.filter(id=body.to, ended_at=None).exists():
        raise Held("to", body.to)
    Arrangement.objects.create(
        **desk.written(), set_id=hand.id, cause=Cause.HANDED_OVER, by_id=desk.actor.member,
        responsible_id=body.to,
    )  # fmt: skip
    settle(desk, hand.id, since=desk.at)


KIND = Kind("hand_over", {1: HandOver}, apply)
