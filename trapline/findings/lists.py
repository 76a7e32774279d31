"""Lists of findings that the API filters and pages, and that pages show."""

from typing import Any
from uuid import UUID

from django.db.models import Case, Exists, F, IntegerField, OuterRef, Q, Value, When

from trapline.findings.limits import CODE as LIMIT
from trapline.findings.models import RANK, Finding
from trapline.lines.models import Target
from trapline.standing.models import SetState

_RANK = Case(
    *(When(severity=severity, then=Value(rank)) for severity, rank in RANK.items()),
    output_field=IntegerField(),
)


def findings(member: UUID | None) -> Any:
    """Findings, each with `rank` (0: stop first).

    With a member: those on sets they look after, those about licences they hold, and the limits
    that are reached for such sets.
    """
    seen = Finding.objects.select_related("rule", "rule__authority").annotate(rank=_RANK)
    if member is None:
        return seen
    theirs = SetState.objects.filter(responsible=member)
    standing = theirs.filter(active=True)
    made_for = Target.objects.filter(
        species=OuterRef("species"), set__in=standing.order_by().values("set")
    )
    limits = (
        Q(Exists(standing.filter(set__licence=OuterRef("licence"))))
        | Q(Exists(standing.filter(zone_codes__contains=[OuterRef("zone_code")])))
        | Q(Exists(made_for))
    )
    on_theirs = Q(Exists(theirs.filter(set=OuterRef("set"))))
    return seen.filter(on_theirs | Q(licence__holder=member) | (Q(code=LIMIT) & limits))


def in_order(found: Any) -> Any:
    """Open before closed, stop before mend before watch, what nobody has looked at first."""
    return found.order_by(
        F("closed_at").desc(nulls_first=True), F("rank"),
        F("acknowledged_at").desc(nulls_first=True), "code", "-opened_at", "id",
    )  # fmt: skip
