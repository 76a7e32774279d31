"""Build a device: an assembly of parts, each in one place only."""

from uuid import UUID

from pydantic import Field

from trapline.gear.models import Device, DeviceKind, Part, PartFact, PartKind, PartState
from trapline.ground.errors import Held, NeedsReview
from trapline.ground.ids import new_id
from trapline.record.acting import Body, Desk, Kind
from trapline.standing.fold import fold_parts
from trapline.standing.models import PartStay


class PartSaid(Body):
    """A part from stock by its id, or a new one of a kind."""

    part: UUID = Field(default_factory=new_id)
    kind: UUID
    mark: str = Field(default="", max_length=60)


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
    _parts(desk, body)


def _parts(desk: Desk, body: BuildDevice) -> None:
    kinds = {said.kind for said in body.parts}
    if missing := kinds - set(PartKind.objects.filter(id__in=kinds).values_list("id", flat=True)):
        raise Held("parts", missing.pop())
    ids = [said.part for said in body.parts]
    busy = PartStay.objects.filter(
        part_id__in=ids, during__contains=desk.at, state=PartState.BUILT_IN
    ).exclude(device_id=body.device)
    if busy.exists():
        raise NeedsReview("parts", "part_in_another_device")
    spent = PartStay.objects.filter(
        part_id__in=ids, during__contains=desk.at,
        state__in=(PartState.SPENT, PartState.BROKEN, PartState.LOST, PartState.RETIRED),
    )  # fmt: skip
    if spent.exists():
        raise NeedsReview("parts", "part_not_fit")
    there = set(Part.objects.filter(id__in=ids).values_list("id", flat=True))
    Part.objects.bulk_create(
        Part(**desk.written(), id=said.part, kind_id=said.kind, mark=said.mark)
        for said in body.parts
        if said.part not in there
    )
    PartFact.objects.bulk_create(
        PartFact(
            **desk.written(),
            part_id=part,
            state=PartState.BUILT_IN,
            device_id=body.device,
            why="built",
        )
        for part in ids
    )
    if ids:
        fold_parts(desk.team, ids)


KIND = Kind("build_device", {1: BuildDevice}, apply)
