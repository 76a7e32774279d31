"""A monitor on a set was heard: that it stands, that it has closed, or that contact is lost."""

from uuid import UUID

from trapline.lines.models import Signal
from trapline.lines.words import Heard
from trapline.record.acting import Body, Desk, Kind
from trapline.record.after import settle
from trapline.record.at_hand import must_stand, set_at_hand


class TakeSignal(Body):
    """The act's moment is when the signal was heard."""

    signal: UUID
    set: UUID
    what: Heard


def apply(desk: Desk, body: TakeSignal) -> None:
    """Rules by signals count from it; the check falls due anew."""
    hand = set_at_hand(desk, body.set)
    must_stand(desk, hand)
    Signal.objects.create(
        **desk.written(), id=body.signal, set_id=hand.id, by_id=desk.actor.member, what=body.what
    )
    settle(desk, hand.id, since=desk.at, arranged=False)


KIND = Kind("take_signal", {1: TakeSignal}, apply)
