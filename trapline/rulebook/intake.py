"""Taking a rulebook in: the version, its rules, and what it says of zones and species."""

from typing import Any
from uuid import UUID

from django.db.models import F, Max, Min, Q

from trapline.people.models import Team
from trapline.rulebook.matters import Rule as Written
from trapline.rulebook.meaning import params_of
from trapline.rulebook.models import Authority, Rule, Species, Version
from trapline.rulebook.parts import day_number
from trapline.rulebook.schema import Document
from trapline.rulebook.selectors import version_in_force
from trapline.rulebook.zones import write_zones


def write_version(*, act_id: UUID, team: UUID, taken_by: UUID, document: Document) -> Version:
    """Write a version, in force from `document.in_force_from` until the next version's moment.

    Inside the caller's transaction and team scope; at most 12 statements, however large the
    document. `act_id` and `taken_by` are the ids of the act and of the membership. It raises the
    team's rule stamp, by which watch/ knows what to reckon again, and does no more. Two versions
    of the same moment: the one taken in later is in force.
    """
    # First, so that two rulebooks taken in at once come one after the other.
    Team.objects.filter(id=team).update(rule_stamp=F("rule_stamp") + 1)
    start = document.in_force_from
    ahead = Version.objects.aggregate(number=Max("number"), next=Min("at", filter=Q(at__gt=start)))
    before = version_in_force(team, start)
    # The newest book tells who the authorities are; one that fills an earlier time adds only.
    authorities = _authorities(team, document, newest=ahead["next"] is None)
    _species(team, document, newest=ahead["next"] is None)
    version: Version = Version.objects.create(
        team_id=team,
        act_id=act_id,
        at=start,
        number=(ahead["number"] or 0) + 1,
        title=document.title,
        document=document.plain(),
        taken_by_id=taken_by,
    )
    was = [] if before is None else [zone["code"] for zone in before.document.get("zones", [])]
    write_zones(team, document, was, start, ahead["next"])
    Rule.objects.bulk_create(_rule(version, authorities, rule) for rule in document.rules)
    return version


def _authorities(team: UUID, document: Document, *, newest: bool) -> dict[str, UUID]:
    rows = [
        Authority(team_id=team, code=one.code, name=one.name, kind=one.kind)
        for one in document.authorities
    ]
    Authority.objects.bulk_create(rows, **_by_code(newest, "name", "kind"))
    codes = [row.code for row in rows]
    return dict(Authority.objects.filter(code__in=codes).values_list("code", "id"))


def _species(team: UUID, document: Document, *, newest: bool) -> None:
    rows = [
        Species(
            team_id=team,
            code=one.code,
            name=one.name,
            latin=one.latin or "",
            handling=one.handling,
            card=one.card,
        )
        for one in document.species
    ]
    Species.objects.bulk_create(rows, **_by_code(newest, "name", "latin", "handling", "card"))


def _by_code(newest: bool, *fields: str) -> dict[str, Any]:
    if not newest:
        return {"ignore_conflicts": True}
    return {"update_conflicts": True, "unique_fields": ["team", "code"], "update_fields": fields}


def _rule(version: Version, authorities: dict[str, UUID], rule: Written) -> Rule:
    return Rule(
        team_id=version.team_id,
        act_id=version.act_id,
        at=version.at,
        version=version,
        code=rule.code,
        matter=rule.matter,
        authority_id=authorities[rule.authority],
        form=rule.form,
        params=params_of(rule),
        device_classes=list(rule.device_classes),
        actions=list(rule.actions),
        placements=list(rule.placements),
        zone_codes=list(rule.zones),
        species_codes=list(rule.species),
        licence_kinds=list(rule.licence_kinds),
        from_day=rule.from_day and day_number(rule.from_day),
        until_day=rule.until_day and day_number(rule.until_day),
        holds_from=rule.holds_from,
        holds_until=rule.holds_until,
        instead_of=list(rule.instead_of),
        source=rule.source,
    )
