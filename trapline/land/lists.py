"""Lists about the land that the API filters and pages."""

from datetime import datetime
from typing import Any

from django.db.models.functions import Lower, Upper

from trapline.land.models import Feature, Permission, Zone


def zones(at: datetime) -> Any:
    """The outlines in force at a moment, with `since` and `until` (null: open)."""
    return Zone.objects.filter(during__contains=at).annotate(
        since=Lower("during"), until=Upper("during")
    )


def permissions() -> Any:
    """Leave to be on parcels of land."""
    return Permission.objects.all()


def features() -> Any:
    """Trails, roads, dwellings, water and boundaries."""
    return Feature.objects.all()
