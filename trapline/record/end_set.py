"""A set goes out of business: pulled, or closed as lost after searches by a manager's word."""

from typing import Annotated
from uuid import UUID

from pydantic import Field

from trapline.duties.single import OF_A_SET, close
from trapline.gear.models import Kept
from trapline.ground.errors import NeedsReview
from trapline.lines.models import Check, Ending
from trapline.lines.selectors import in_effect
from trapline.lines.words import Ended, Found
from trapline.record.acting import Body, Desk, Kind
from trapline.record.after import judge_deferred, refresh_found
from trapline.record.at_hand import SetAtHand, must_stand, set_at_hand
from trapline.record.keeping import write_kept
from trapline.standing.fold import fold


class EndSet(Body):
    set: UUID
    note: Annotated[str, Field(max_length=2000)] = ""


def pull(desk: Desk, body: EndSet) -> None:
    hand = set_at_hand(desk, body.set)
    must_stand(desk, hand)
    _end(desk, hand, Ended.PULLED, body.note)


def lose(desk: Desk, body: EndSet) -> None:
    if not desk.actor.manages:
        raise NeedsReview("set", "only_managers", what="close_as_lost")
    hand = set_at_hand(desk, body.set)
    must_stand(desk, hand)
    searched = in_effect(Check.objects.filter(set_id=hand.id, found=Found.GONE, at__lte=desk.at))
    if not searched.exists():
        raise NeedsReview("set", "lost_needs_a_search", label=hand.label)
    _end(desk, hand, Ended.LOST, body.note)
    write_kept(desk, hand.device, Kept.LOST, note=body.note)


def _end(desk: Desk, hand: SetAtHand, how: Ended, note: str) -> None:
    Ending.objects.create(
        **desk.written(), set_id=hand.id, how=how, by_id=desk.actor.member, note=note
    )
    close(desk.team, *OF_A_SET, at=desk.at, moment=desk.received_at, act=desk.act, set_id=hand.id)
    fold(desk.team, [hand.id], since=desk.at)
    judge_deferred()
    refresh_found(desk, hand.id)


PULL = Kind("pull_set", {1: EndSet}, pull)
LOSE = Kind("close_as_lost", {1: EndSet}, lose)
