"""What pages read of findings."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import F, Func, OuterRef, Q, Subquery, TextField, Value
from django.db.models.fields.json import KeyTextTransform, KeyTransform
from django.db.models.functions import Cast, Coalesce

from trapline.findings.limits import CODE as LIMIT
from trapline.findings.lists import findings, in_order
from trapline.ground.errors import NotYours
from trapline.rulebook.models import Species
from trapline.standing.selectors import SetSheet


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


def findings_of_set(team: UUID, sheet: SetSheet) -> list[Any]:
    """The open findings of one set, the gravest first. One statement.

    With them the limits that are reached for it: of its licence, its zones or the team, by a rule
    about such devices and about what it is made for.
    """
    found = findings(None).filter(team_id=team, closed_at=None)
    about = Q(licence=sheet.licence) | Q(zone_code__in=sheet.zone_codes) | ~Q(species=None)
    codes = Species.objects.filter(id__in=sheet.targets).values("code")
    meant = Q(rule__species_codes=[]) | Q(rule__species_codes__overlap=codes)
    for name in ("device_class", "action", "placement"):
        said = f"rule__{name}{'es' if name == 'device_class' else 's'}"
        meant &= Q((said, [])) | Q((f"{said}__contains", [getattr(sheet, name)]))
    limits = Q(code=LIMIT) & about & meant if sheet.active and sheet.targets else Q(pk=None)
    return list(_with_subject(in_order(found.filter(Q(set=sheet.id) | limits))))


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
    """With the line, the licence, and the name of the species that it is about, if it is."""
    told = Func(F("discriminator"), Value(":"), Value(1), function="split_part")
    code = Coalesce(KeyTextTransform(0, KeyTransform("species", "numbers")), told)
    named = Species.objects.filter(team=OuterRef("team"), code=OuterRef("about"))
    return (
        found.select_related("set", "set__line", "licence", "species")
        .alias(about=Cast(code, TextField()))
        .annotate(species_name=Subquery(named.values("name")[:1]))
    )
