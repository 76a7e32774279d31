"""Lists of findings that the API filters and pages, and that pages show."""

from typing import Any
from uuid import UUID

from django.db.models import Case, Exists, F, IntegerField, OuterRef, Q, Value, When

from trapline.findings.models import RANK, Finding
from trapline.standing.models import SetState

_RANK = Case(
    *(When(severity=severity, then=Value(rank)) for severity, rank in RANK.items()),
    output_field=IntegerField(),
)


def findings(member: UUID | None) -> Any:
    """Findings, each with `rank` (0: stop first). With a member: those on sets they look after

    and about licences they hold.
    """
    seen = Finding.objects.select_related("rule", "rule__authority").annotate(rank=_RANK)
    if member is None:
        return seen
    theirs = SetState.objects.filter(set=OuterRef("set"), responsible=member)
    return seen.filter(Exists(theirs) | Q(licence__holder=member))


def in_order(found: Any) -> Any:
    """Open before closed, stop before mend before watch, what nobody has looked at first."""
    return found.order_by(
        F("closed_at").desc(nulls_first=True), F("rank"),
        F("acknowledged_at").desc(nulls_first=True), "code", "-opened_at", "id",
    )  # fmt: skip
