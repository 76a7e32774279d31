"""A device is taken apart, or one of its parts is replaced, also while it stands in a set."""

from typing import Literal
from uuid import UUID

from trapline.gear.models import Device, PartFact, PartState
from trapline.ground.errors import Held, NeedsReview
from trapline.record.acting import Body, Desk, Kind
from trapline.record.after import look_again
from trapline.record.parts import PartSaid, inside_now, must_lie_idle, parts_moved, put_in
from trapline.record.picking import not_reserved
from trapline.standing.models import SetState


class StripDevice(Body):
    """All its parts come out. They are looked over before they go into another device."""

    device: UUID
    state: Literal[PartState.STOCK, PartState.INSPECT] = PartState.INSPECT


def strip(desk: Desk, body: StripDevice) -> None:
    if not desk.actor.leads:
        raise NeedsReview("device", "only_leaders", what="strip_device")
    if not Device.objects.filter(id=body.device).exists():
        raise Held("device", body.device)
    must_lie_idle([body.device], "device")
    not_reserved(desk, [body.device], "device")
    parts = list(inside_now(desk, body.device))
    if not parts:
        raise NeedsReview("device", "nothing_in_device")
    PartFact.objects.bulk_create(
        PartFact(**desk.written(), part_id=part, state=body.state, why="stripped") for part in parts
    )
    parts_moved(desk, parts)


class ReplacePart(Body):
    """One part comes out of a device, and what becomes of it; another goes in."""

    device: UUID
    out: UUID
    becomes: Literal[
        PartState.STOCK, PartState.INSPECT, PartState.SPENT, PartState.BROKEN, PartState.LOST
    ] = PartState.BROKEN
    part: PartSaid


def replace(desk: Desk, body: ReplacePart) -> None:
    device = Device.objects.filter(id=body.device).first()
    if device is None:
        raise Held("device", body.device)
    if not _may_mend(desk, body.device):
        raise NeedsReview("device", "only_leaders", what="replace_part")
    inside = inside_now(desk, body.device)
    if body.out not in inside:
        raise NeedsReview("out", "part_not_in_device")
    PartFact.objects.create(**desk.written(), part_id=body.out, state=body.becomes, why="replaced")
    put = put_in(
        desk, device.id, device.kind_id, [body.part], why="replaced", out=body.out,
        role=inside[body.out],
    )  # fmt: skip
    parts_moved(desk, [body.out, *put])
    look_again(desk, device_id=body.device)


def _may_mend(desk: Desk, device: UUID) -> bool:
    """A leader, or whoever looks after the set in which the device stands."""
    mine = SetState.objects.filter(device_id=device, active=True, responsible=desk.actor.member)
    return desk.actor.leads or desk.overruled or mine.exists()


KINDS = (
    Kind("strip_device", {1: StripDevice}, strip),
    Kind("replace_part", {1: ReplacePart}, replace),
)
