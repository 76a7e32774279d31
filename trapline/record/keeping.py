"""Where a device is kept when it stands nowhere: in store, lent, lost, retired; and its tags."""

from typing import Annotated
from uuid import UUID

from pydantic import Field, StringConstraints

from trapline.gear.models import GONE, Device, DeviceFact, Kept, Part, Tagging
from trapline.ground.errors import Held, NeedsReview, Problem, Refused
from trapline.people.models import Membership
from trapline.record.acting import Body, Desk, Kind
from trapline.record.parts import must_lie_idle
from trapline.record.stocking import Place

Note = Annotated[str, StringConstraints(strip_whitespace=True, max_length=2000)]


class KeepDevice(Body):
    """From now on the device is kept so. `member`: whom it is lent to."""

    device: UUID
    how: Kept
    member: UUID | None = None
    place: Place = ""
    note: Note = ""


def keep(desk: Desk, body: KeepDevice) -> None:
    if not desk.actor.leads:
        raise NeedsReview("device", "only_leaders", what="keep_device")
    if (body.how == Kept.LENT) != (body.member is not None):
        raise Refused(Problem("member", "lent_to_whom"))
    if not Device.objects.filter(id=body.device).exists():
        raise Held("device", body.device)
    if body.member and not Membership.objects.filter(id=body.member, ended_at=None).exists():
        raise Held("member", body.member)
    if body.how in GONE:
        must_lie_idle([body.device], "device")
    write_kept(desk, body.device, body.how, member=body.member, place=body.place, note=body.note)


def write_kept(
    desk: Desk, device: UUID, how: Kept, *, member: UUID | None = None, place: str = "",
    note: str = "",
) -> None:  # fmt: skip
    """Write how a device is kept from the time of the act on."""
    DeviceFact.objects.create(
        **desk.written(), device_id=device, how=how, member_id=member, place=place, note=note
    )


class TagGear(Body):
    """A tag goes onto a device or a part; an empty one comes off."""

    device: UUID | None = None
    part: UUID | None = None
    tag: Annotated[str, StringConstraints(strip_whitespace=True), Field(max_length=60)]


def tag(desk: Desk, body: TagGear) -> None:
    if not desk.actor.leads:
        raise NeedsReview("tag", "only_leaders", what="tag_gear")
    if (body.device is None) == (body.part is None):
        raise Refused(Problem("device", "tag_of_one_thing"))
    if body.device and not Device.objects.filter(id=body.device).exists():
        raise Held("device", body.device)
    if body.part and not Part.objects.filter(id=body.part).exists():
        raise Held("part", body.part)
    Tagging.objects.create(**desk.written(), device_id=body.device, part_id=body.part, tag=body.tag)


KINDS = (
    Kind("keep_device", {1: KeepDevice}, keep),
    Kind("tag_gear", {1: TagGear}, tag),
)
