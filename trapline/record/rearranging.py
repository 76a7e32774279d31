"""What a check changes about how the set stands: moved, raised, remade, pulled."""

from typing import Any

from trapline.gear.models import Device
from trapline.ground.errors import Held
from trapline.lines.models import Arrangement, Ending
from trapline.lines.words import Cause, Done, Ended
from trapline.record.acting import Desk
from trapline.record.at_hand import SetAtHand
from trapline.record.check_body import CheckSaid
from trapline.record.geo import point


def rearrange(desk: Desk, hand: SetAtHand, body: CheckSaid) -> bool:
    """Write the arrangements and the ending a check made; whether there was any."""
    made = _changes(hand, body)
    if body.new_device is not None and not Device.objects.filter(id=body.new_device).exists():
        raise Held("new_device", body.new_device)
    for cause, values in made:
        Arrangement.objects.create(
            **desk.written(), set_id=hand.id, cause=cause, by_id=desk.actor.member,
            check_made_id=body.check, **values,
        )  # fmt: skip
    if Done.PULLED in body.done:
        Ending.objects.create(
            **desk.written(), set_id=hand.id, how=Ended.PULLED, by_id=desk.actor.member,
            check_made_id=body.check,
        )  # fmt: skip
    return bool(made) or Done.PULLED in body.done


def _changes(hand: SetAtHand, body: CheckSaid) -> list[tuple[Cause, dict[str, Any]]]:
    made: list[tuple[Cause, dict[str, Any]]] = []
    if body.moved_to is not None:
        made.append(
            (
                Cause.MOVED,
                {
                    "place": point(body.moved_to.place),
                    "accuracy_m": body.moved_to.accuracy_m,
                    "placement": body.moved_to.placement,
                },
            )
        )
    elif body.placement_seen is not None and body.placement_seen != hand.placement:
        # Water rose, ice came: another placement, so another rule, from this moment on.
        made.append((Cause.MOVED, {"placement": body.placement_seen}))
    if body.raised_to is not None:
        made.append(
            (
                Cause.RAISED,
                {
                    "loop_height_m": body.raised_to.loop_height_m,
                    "snow_depth_m": body.snow_depth_m,
                },
            )
        )
    if body.new_device is not None:
        made.append((Cause.REMADE, {"device_id": body.new_device}))
    return made
