"""Lists about the land that the API filters and pages."""

from datetime import datetime
from typing import Any

from django.db.models.functions import Lower, Upper

from trapline.land.models import Zone


def zones(at: datetime) -> Any:
    """The outlines in force at a moment, with `since` and `until` (null: open)."""
    return Zone.objects.filter(during__contains=at).annotate(
        since=Lower("during"), until=Upper("during")
    )
