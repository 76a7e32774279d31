"""A pick list: gear that is set aside for a load, so that no other list takes it."""

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Annotated, Any
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
from trapline.standing.reserved import reserved_by, wanted_devices, wanted_parts

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
    one_list_at_a_time(desk)
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
    _set_aside(desk, body.pick, body.devices, body.parts)


def one_list_at_a_time(desk: Desk) -> None:
    """Hold the team's row: whoever sets gear aside waits here, and then sees what others took."""
    Team.objects.select_for_update(no_key=True).get(id=desk.team)


def _set_aside(desk: Desk, key: UUID, devices: list[UUID], parts: list[UUID]) -> None:
    Picked.objects.bulk_create(
        [
            *(Picked(**desk.written(), pick_id=key, device_id=one) for one in devices),
            *(Picked(**desk.written(), pick_id=key, part_id=one) for one in parts),
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


class FillPick(Body):
    """More devices and loose parts for a list that is short of them."""

    pick: UUID
    devices: Annotated[list[UUID], Field(max_length=MOST_DEVICES)] = Field(default_factory=list)
    parts: Annotated[list[UUID], Field(max_length=MOST_PARTS)] = Field(default_factory=list)


def fill(desk: Desk, body: FillPick) -> None:
    """Set aside what was lost, spent or not there. Never more than the list is short of."""
    if not desk.actor.leads:
        raise NeedsReview("pick", "only_leaders", what="fill_pick")
    one_list_at_a_time(desk)
    if not Pick.objects.filter(id=body.pick).exists():
        raise Held("pick", body.pick)
    if PickDrop.objects.filter(pick_id=body.pick).exists():
        raise NeedsReview("pick", "pick_done_with")
    if not body.devices and not body.parts:
        raise NeedsReview("pick", "nothing_picked")
    _devices_free(desk, body.devices)
    _parts_free(desk, body.parts)
    before = Picked.objects.filter(pick_id=body.pick)
    for field, keys in (("devices", body.devices), ("parts", body.parts)):
        if before.filter(**{f"{field[:-1]}__in": keys}).exists():
            raise NeedsReview(field, "picked_before")
    devices = Device.objects.filter(id__in=body.devices).values_list("kind_id", flat=True)
    asked = wanted_devices(desk.team, body.pick)
    _no_more("devices", devices, {one.kind_id: one.lacking for one in asked})
    parts = Part.objects.filter(id__in=body.parts).values_list("kind__role", flat=True)
    roles = wanted_parts(desk.team, body.pick)
    _no_more("parts", parts, {one.role: one.lacking for one in roles})
    _set_aside(desk, body.pick, body.devices, body.parts)


def _no_more(field: str, added: Iterable[Any], short: Mapping[Any, int]) -> None:
    """Of each kind or role at most what the list is short of."""
    for sort, count in Counter(added).items():
        if count > short.get(sort, 0):
            raise NeedsReview(field, "pick_not_short")


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
    Kind("fill_pick", {1: FillPick}, fill),
    Kind("drop_pick", {1: DropPick}, drop),
)
