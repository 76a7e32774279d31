"""Lists about gear that the API filters and pages."""

from typing import Any
from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import OuterRef, Subquery
from django.db.models.functions import JSONObject

from trapline.gear.models import DeviceKind, KindPart, PartKind, Pick, PickDrop, Picked


def device_kinds() -> Any:
    """Kinds of device, each with the `parts` it is built of."""
    parts = KindPart.objects.filter(kind=OuterRef("pk")).order_by("role")
    listed = parts.values(
        said=JSONObject(role="role", count="count", needed="needed", after_catch="after_catch")
    )
    return DeviceKind.objects.annotate(parts=ArraySubquery(listed))


def part_kinds() -> Any:
    """Kinds of part, as the team buys them."""
    return PartKind.objects.all()


def picks(member: UUID | None) -> Any:
    """Pick lists, each with its `devices` and `parts`; with a member, those they carry."""
    things = Picked.objects.filter(pick=OuterRef("pk")).order_by("id")
    dropped = PickDrop.objects.filter(pick=OuterRef("pk"))
    seen = Pick.objects.annotate(
        devices=ArraySubquery(things.exclude(device=None).values("device_id")),
        parts=ArraySubquery(things.exclude(part=None).values("part_id")),
        dropped_at=Subquery(dropped.values("at")[:1]),
    )
    return seen if member is None else seen.filter(carrier=member)
