"""What pages read of findings."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import F, Func, OuterRef, Subquery, TextField, Value
from django.db.models.functions import Cast

from trapline.findings.lists import findings, in_order
from trapline.ground.errors import NotYours
from trapline.rulebook.models import Species


def open_findings(
    team: UUID,
    member: UUID | None,
    *,
    most: int,
    line: UUID | None = None,
    severity: str = "",
    code: str = "",
) -> list[Any]:
    """Open findings with what they are about, the gravest first. One statement."""
    found = findings(member).filter(team_id=team, closed_at=None)
    if line is not None:
        found = found.filter(set__line=line)
    if severity:
        found = found.filter(severity=severity)
    if code:
        found = found.filter(code=code)
    return list(_with_subject(in_order(found))[:most])


def findings_of_set(team: UUID, set_id: UUID) -> list[Any]:
    """The open findings of one set, the gravest first. One statement."""
    found = findings(None).filter(team_id=team, set=set_id, closed_at=None)
    return list(_with_subject(in_order(found)))


def finding(team: UUID, key: UUID, member: UUID | None) -> Any:
    """One finding, open or closed. NotYours if unknown or about another's set."""
    found = _with_subject(findings(member).filter(team_id=team, id=key)).first()
    if found is None:
        raise NotYours
    return found


def told_findings(member: UUID | None) -> Any:
    """All findings, with what is needed to put them in words; for lists that the API pages."""
    return _with_subject(findings(member))


def _with_subject(found: Any) -> Any:
    """With the line, the licence, and the name of the species that the discriminator names."""
    code = Func(F("discriminator"), Value(":"), Value(1), function="split_part")
    named = Species.objects.filter(team=OuterRef("team"), code=OuterRef("about"))
    return (
        found.select_related("set", "set__line", "licence", "species")
        .alias(about=Cast(code, TextField()))
        .annotate(species_name=Subquery(named.values("name")[:1]))
    )
