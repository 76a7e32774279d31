"""Build a device: an assembly of parts, each in one place only."""

from uuid import UUID

from pydantic import Field

from trapline.gear.models import Device, DeviceKind
from trapline.ground.errors import Held, NeedsReview
from trapline.record.acting import Body, Desk, Kind
from trapline.record.after import look_again
from trapline.record.parts import PartSaid, parts_moved, put_in


class BuildDevice(Body):
    device: UUID
    kind: UUID
    mark: str = Field(min_length=1, max_length=60)
    parts: list[PartSaid] = Field(default_factory=list, max_length=40)


def apply(desk: Desk, body: BuildDevice) -> None:
    if not DeviceKind.objects.filter(id=body.kind).exists():
        raise Held("kind", body.kind)
    if Device.objects.filter(mark=body.mark).exclude(id=body.device).exists():
        raise NeedsReview("mark", "mark_taken", mark=body.mark)
    if not Device.objects.filter(id=body.device).exists():
        Device.objects.create(**desk.written(), id=body.device, kind_id=body.kind, mark=body.mark)
    ids = put_in(desk, body.device, body.kind, body.parts, why="built")
    if ids:
        parts_moved(desk, ids)
    look_again(desk, device_id=body.device)


KIND = Kind("build_device", {1: BuildDevice}, apply)
