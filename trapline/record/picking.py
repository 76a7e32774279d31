"""A pick list: gear that is set aside for a load, so that no other list takes it."""

from typing import Annotated
from uuid import UUID

from pydantic import Field

from trapline.gear.models import Device, Kept, Part, PartState, Pick, PickDrop, Picked, PickWanted
from trapline.gear.models import DeviceKind as DeviceKindRow
from trapline.gear.selectors import kept_how
from trapline.ground.errors import Held, NeedsReview
from trapline.people.models import Membership, Team
from trapline.record.acting import Body, Desk, Kind
from trapline.record.keeping import Note
from trapline.record.parts import must_lie_idle
from trapline.record.settling_gear import Name
from trapline.standing.models import PartStay
from trapline.standing.reserved import reserved_by

MOST_DEVICES, MOST_PARTS = 300, 600


class WantedOfKind(Body):
    """How many of one kind the load asks for."""

    kind: UUID
    devices: Annotated[int, Field(ge=0, le=MOST_DEVICES)]
    spare_kits: Annotated[int, Field(ge=0, le=MOST_PARTS)] = 0


class PickGear(Body):
    """Devices and loose parts that are set aside, and what was asked for. `carrier`: who goes."""

    pick: UUID
    name: Name
    carrier: UUID | None = None
    note: Note = ""
    wanted: Annotated[list[WantedOfKind], Field(min_length=1, max_length=100)]
    devices: Annotated[list[UUID], Field(max_length=MOST_DEVICES)] = Field(default_factory=list)
    parts: Annotated[list[UUID], Field(max_length=MOST_PARTS)] = Field(default_factory=list)


def pick(desk: Desk, body: PickGear) -> None:
    if not desk.actor.leads:
        raise NeedsReview("pick", "only_leaders", what="pick_gear")
    Team.objects.select_for_update(no_key=True).get(id=desk.team)  # one list at a time
    if Pick.objects.filter(id=body.pick).exists():
        raise NeedsReview("pick", "pick_there")
    if body.carrier and not Membership.objects.filter(id=body.carrier, ended_at=None).exists():
        raise Held("carrier", body.carrier)
    _known_kinds(body)
    _devices_free(desk, body.devices)
    _parts_free(desk, body.parts)
    Pick.objects.create(
        **desk.written(), id=body.pick, name=body.name, carrier_id=body.carrier, note=body.note
    )
    PickWanted.objects.bulk_create(
        PickWanted(
            **desk.written(), pick_id=body.pick, kind_id=one.kind, devices=one.devices,
            spare_kits=one.spare_kits,
        )
        for one in body.wanted
    )  # fmt: skip
    Picked.objects.bulk_create(
        [
            *(Picked(**desk.written(), pick_id=body.pick, device_id=key) for key in body.devices),
            *(Picked(**desk.written(), pick_id=body.pick, part_id=key) for key in body.parts),
        ]
    )


def _known_kinds(body: PickGear) -> None:
    kinds = [one.kind for one in body.wanted]
    if len(set(kinds)) < len(kinds):
        raise NeedsReview("wanted", "picked_twice")
    known = DeviceKindRow.objects.filter(id__in=kinds).values_list("id", flat=True)
    if missing := set(kinds) - set(known):
        raise Held("wanted", missing.pop())


def _devices_free(desk: Desk, keys: list[UUID]) -> None:
    """Each is there, in store, in no set and on no other list."""
    if len(set(keys)) < len(keys):
        raise NeedsReview("devices", "picked_twice")
    rows = Device.objects.filter(id__in=keys).annotate(how=kept_how(desk.at))
    there = {key: (mark, how) for key, mark, how in rows.values_list("id", "mark", "how")}
    if missing := set(keys) - set(there):
        raise Held("devices", missing.pop())
    for mark, how in there.values():
        if how not in (None, Kept.STORE):
            raise NeedsReview("devices", "device_not_in_store", mark=mark)
    must_lie_idle(keys, "devices")
    not_reserved(desk, keys, "devices")


def not_reserved(desk: Desk, devices: list[UUID], field: str) -> None:
    """None of the devices stands on a pick list. The first that does is named with it."""
    for one in reserved_by(desk.team, devices=devices):
        raise NeedsReview(field, "device_reserved", mark=one.mark, name=one.name)


def _parts_free(desk: Desk, keys: list[UUID]) -> None:
    if len(set(keys)) < len(keys):
        raise NeedsReview("parts", "picked_twice")
    known = set(Part.objects.filter(id__in=keys).values_list("id", flat=True))
    if missing := set(keys) - known:
        raise Held("parts", missing.pop())
    lying = PartStay.objects.filter(
        part_id__in=keys, during__contains=desk.at, state=PartState.STOCK
    )
    if lying.count() < len(keys):
        raise NeedsReview("parts", "part_not_in_stock")
    for one in reserved_by(desk.team, parts=keys):
        raise NeedsReview("parts", "part_reserved", name=one.name)


class DropPick(Body):
    """The list is not needed longer; what it still keeps is free."""

    pick: UUID
    note: Note = ""


def drop(desk: Desk, body: DropPick) -> None:
    if not desk.actor.leads:
        raise NeedsReview("pick", "only_leaders", what="drop_pick")
    if not Pick.objects.filter(id=body.pick).exists():
        raise Held("pick", body.pick)
    if PickDrop.objects.filter(pick_id=body.pick).exists():
        raise NeedsReview("pick", "pick_dropped")
    PickDrop.objects.create(**desk.written(), pick_id=body.pick, note=body.note)


KINDS = (
    Kind("pick_gear", {1: PickGear}, pick),
    Kind("drop_pick", {1: DropPick}, drop),
)
