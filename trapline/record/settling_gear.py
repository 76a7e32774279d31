"""Settling in: the kinds of parts a team buys, and the kinds of devices it builds of them.

They are configuration, not facts: an act with the id of a kind that is there changes it. What
devices and parts already are of a kind rest on (its role, class and action) stays.
"""

from decimal import Decimal
from typing import Annotated
from uuid import UUID

from pydantic import Field, StringConstraints

from trapline.duties.stock import refresh_stock
from trapline.gear.models import (
    Action,
    AfterCatch,
    Device,
    DeviceClass,
    DeviceKind,
    KindPart,
    Part,
    PartKind,
    PartRole,
)
from trapline.ground.errors import Held, NeedsReview
from trapline.people.models import Skill
from trapline.record.acting import Body, Desk, Kind
from trapline.record.after import look_again
from trapline.standing.models import PartStay

Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=120)]
Short = Annotated[str, StringConstraints(strip_whitespace=True, max_length=200)]


class NamePartKind(Body):
    """A kind of part as bought. SI, with the unit in the name; a load names its source."""

    kind: UUID
    role: PartRole
    name: Name
    diameter_m: Annotated[float, Field(gt=0, le=1)] | None = None
    construction: Annotated[Short, Field(max_length=40)] = ""
    breaking_load_n: Annotated[float, Field(gt=0, le=10_000_000)] | None = None
    breaking_load_source: Short = ""
    mass_kg: Annotated[float, Field(gt=0, le=1000)] | None = None
    price: Annotated[Decimal, Field(ge=0, max_digits=10, decimal_places=2)] | None = None
    fewest: Annotated[int, Field(ge=0, le=100_000)] | None = None
    life_nights: Annotated[float, Field(gt=0, le=100_000)] | None = None


def name_part_kind(desk: Desk, body: NamePartKind) -> None:
    if not desk.actor.leads:
        raise NeedsReview("kind", "only_leaders", what="name_part_kind")
    if PartKind.objects.filter(name=body.name).exclude(id=body.kind).exists():
        raise NeedsReview("name", "name_taken", name=body.name)
    if body.breaking_load_n is not None and not body.breaking_load_source:
        raise NeedsReview("breaking_load_source", "load_needs_source")
    moved = PartKind.objects.filter(id=body.kind).exclude(role=body.role)
    if moved.exists() and Part.objects.filter(kind_id=body.kind).exists():
        raise NeedsReview("role", "kind_in_use")
    PartKind.objects.update_or_create(
        id=body.kind, defaults={"team_id": desk.team, **body.model_dump(exclude={"kind"})}
    )
    refresh_stock(
        desk.team, kinds=[body.kind], act=desk.act, at=desk.at, moment=desk.received_at,
        by_facts=False,
    )  # fmt: skip
    built = PartStay.objects.filter(part__kind_id=body.kind, during__upper_inf=True)
    look_again(desk, device__in=built.values("device_id"))


class PartOfKind(Body):
    """A part that a kind of device is built of, how many, and what a catch does to it."""

    role: PartRole
    count: Annotated[int, Field(ge=1, le=100)] = 1
    needed: bool = True
    after_catch: AfterCatch = AfterCatch.STAYS


class NameDeviceKind(Body):
    """A kind of device: its class, what it does to an animal, its measured size, its parts.

    set_up_s, check_s: what one takes to place, and to look at in order. price: of a whole one.
    """

    kind: UUID
    name: Name
    device_class: DeviceClass
    action: Action
    skill: UUID | None = None
    jaw_spread_m: Annotated[float, Field(gt=0, le=5)] | None = None
    mass_kg: Annotated[float, Field(gt=0, le=1000)] | None = None
    volume_m3: Annotated[float, Field(gt=0, le=100)] | None = None
    set_up_s: Annotated[float, Field(ge=0, le=86_400)] | None = None
    check_s: Annotated[float, Field(ge=0, le=86_400)] | None = None
    price: Annotated[Decimal, Field(ge=0, max_digits=10, decimal_places=2)] | None = None
    parts: list[PartOfKind] = Field(default_factory=list, max_length=len(PartRole))


def name_device_kind(desk: Desk, body: NameDeviceKind) -> None:
    if not desk.actor.leads:
        raise NeedsReview("kind", "only_leaders", what="name_device_kind")
    if DeviceKind.objects.filter(name=body.name).exclude(id=body.kind).exists():
        raise NeedsReview("name", "name_taken", name=body.name)
    if body.skill is not None and not Skill.objects.filter(id=body.skill).exists():
        raise Held("skill", body.skill)
    there = DeviceKind.objects.filter(id=body.kind).first()
    if there is not None and Device.objects.filter(kind_id=there.id).exists():
        for field in ("device_class", "action"):
            if getattr(there, field) != getattr(body, field):
                raise NeedsReview(field, "kind_in_use")
    roles = [part.role for part in body.parts]
    for number, role in enumerate(roles):
        if role in roles[:number]:
            raise NeedsReview(f"parts.{number}.role", "role_twice", role=str(role.label))
    DeviceKind.objects.update_or_create(
        id=body.kind,
        defaults={
            "team_id": desk.team,
            "skill_id": body.skill,
            **body.model_dump(exclude={"kind", "skill", "parts"}),
        },
    )
    _parts(desk, body)
    look_again(desk, device__kind_id=body.kind)


def _parts(desk: Desk, body: NameDeviceKind) -> None:
    """The parts as said: a role that is no longer named goes. Two statements."""
    roles = [part.role for part in body.parts]
    KindPart.objects.filter(kind_id=body.kind).exclude(role__in=roles).delete()
    KindPart.objects.bulk_create(
        [
            KindPart(team_id=desk.team, kind_id=body.kind, **part.model_dump())
            for part in body.parts
        ],
        update_conflicts=True,
        unique_fields=["team", "kind", "role"],
        update_fields=["count", "needed", "after_catch"],
    )


KINDS = (
    Kind("name_part_kind", {1: NamePartKind}, name_part_kind),
    Kind("name_device_kind", {1: NameDeviceKind}, name_device_kind),
)
