"""The rules: in force now, or those of any version, by who made them and what they are about."""

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render

from trapline.ground.clock import now
from trapline.ground.errors import NotYours
from trapline.lines.selectors import zone_of_team
from trapline.pages.forms import person_units
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.people.rights import Actor
from trapline.rulebook.export import document_of, to_yaml
from trapline.rulebook.models import Matter, Rule, Version
from trapline.rulebook.schema import schema_json
from trapline.rulebook.selectors import (
    access_version,
    closures,
    rules_of,
    species_cards,
    version_in_force,
    versions,
)
from trapline.wording.rule_words import applies_words, rule_sentence
from trapline.wording.vocabulary import label_of


@team_page(ANYONE_IN_TEAM)
def rules(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The rules in force now. Six statements beside the guard's."""
    moment = now()
    shown = {
        "species": species_cards(actor.team),
        "versions": versions(actor.team),
        "closures": closures(actor.team),
    }
    return _page(request, actor, version_in_force(actor.team, moment), in_force=True, **shown)


@team_page(ANYONE_IN_TEAM)
def rules_version(request: HttpRequest, actor: Actor, version_id: UUID) -> HttpResponse:
    """The rules of one version, as it was taken in. Three statements beside the guard's."""
    return _page(request, actor, access_version(actor.team, version_id), in_force=False)


def _page(
    request: HttpRequest, actor: Actor, version: Version | None, *, in_force: bool, **more: Any
) -> HttpResponse:
    found = rules_of(version.id) if version is not None else []
    shown = {
        "version": version,
        "authorities": _by_authority(found, person_units(request.user), species_names(version)),
        "in_force": in_force,
        "tz": zone_of_team(actor.team),
        **more,
    }
    return render(request, "rules.html", shown)


def species_names(version: Version | None) -> dict[str, str]:
    """The species that a version names, by code. No statement."""
    told = version.document.get("species", ()) if version is not None else ()
    return {one["code"]: one["name"] for one in told}


def _by_authority(found: list[Rule], units: str, species: dict[str, str]) -> list[dict[str, Any]]:
    """Authorities by kind, the widest first, each with its rules by matter."""
    by = {rule.authority_id: rule.authority for rule in found}
    kinds = ("state", "special_area", "permission", "team")
    ordered = sorted(by.values(), key=lambda one: (kinds.index(one.kind), one.name))
    return [
        {
            "authority": one,
            "matters": _by_matter([r for r in found if r.authority_id == one.id], units, species),
        }
        for one in ordered
    ]


def _by_matter(found: list[Rule], units: str, species: dict[str, str]) -> list[dict[str, Any]]:
    return [
        {
            "name": label_of("matter", matter),
            "rules": [
                {
                    "rule": rule,
                    "says": rule_sentence(rule, units),
                    "applies": applies_words(rule, species),
                }
                for rule in found
                if rule.matter == matter
            ],
        }
        for matter in Matter
        if any(rule.matter == matter for rule in found)
    ]


@team_page(ANYONE_IN_TEAM)
def rules_format(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The format of rulebooks as a JSON Schema (2020-12)."""
    return JsonResponse(schema_json(), content_type="application/schema+json")


@team_page(ANYONE_IN_TEAM)
def rules_file(request: HttpRequest, actor: Actor, version_id: UUID | None = None) -> HttpResponse:
    """A version of the rulebook (the one in force) as the file one can take in again."""
    version = (
        version_in_force(actor.team, now())
        if version_id is None
        else access_version(actor.team, version_id)
    )
    if version is None:
        raise NotYours
    answer = HttpResponse(to_yaml(document_of(version)), content_type="application/yaml")
    answer["Content-Disposition"] = f'attachment; filename="rules-{version.number}.yaml"'
    return answer
