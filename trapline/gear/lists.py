"""Lists about gear that the API filters and pages."""

from typing import Any

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import OuterRef
from django.db.models.functions import JSONObject

from trapline.gear.models import DeviceKind, KindPart, PartKind


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
