"""Lists of acts that the API filters and pages."""

from typing import Any
from uuid import UUID

from django.db.models import Q

from trapline.journal.models import Act


def acts(member: UUID | None) -> Any:
    """The acts of the team in force; with a member, those they made or sent. Without the bytes."""
    seen = Act.objects.defer("body")
    if member is None:
        return seen
    return seen.filter(Q(acted_by=member) | Q(sent_by=member))
