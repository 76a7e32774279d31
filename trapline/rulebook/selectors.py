"""What the rulebook says. Each question is one statement, asked in the team's scope."""

from datetime import datetime
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet, Subquery

from trapline.ground.errors import NotYours
from trapline.land.models import Zone
from trapline.rulebook.models import Authority, Closure, Matter, Reopening, Rule, Species, Version


def version_in_force(team: UUID, at: datetime) -> Version | None:
    """The version in force at a moment; None before the team's first."""
    found: Version | None = (
        Version.objects.filter(team_id=team, at__lte=at).order_by("-at", "-number").first()
    )
    return found


def access_version(team: UUID, version: UUID) -> Version:
    """A version of the team's rulebook with its document, or NotYours. One statement."""
    found: Version | None = Version.objects.filter(team_id=team, id=version).first()
    if found is None:
        raise NotYours
    return found


def versions(team: UUID) -> list[Version]:
    """All versions without their documents, each with who took it in, the latest first."""
    found = Version.objects.filter(team_id=team).select_related("taken_by")
    return list(found.defer("document").order_by("-number"))


def rules_of(version: UUID, matter: Matter | None = None) -> list[Rule]:
    """The rules of a version (of one matter), with their authorities, by code."""
    asked = Rule.objects.filter(version_id=version).select_related("authority")
    if matter is not None:
        asked = asked.filter(matter=matter)
    return list(asked.order_by("code"))


def check_rules(version: UUID) -> list[Rule]:
    """The check rules of a version, with their authorities."""
    return rules_of(version, Matter.CHECK)


def seasons(version: UUID) -> list[Rule]:
    """The seasons of a version, with their authorities."""
    return rules_of(version, Matter.SEASON)


def closures_in_force(at: datetime) -> QuerySet[Closure]:
    """What is closed by notice at a moment: `species`, in `zone_code` ("": everywhere).

    A closure holds from its moment until another notice opens the species again. It stands above
    whatever season the rules say. One statement when it is read.
    """
    opened = Reopening.objects.filter(closure_id=OuterRef("id"), from_at__lte=at)
    found: QuerySet[Closure] = Closure.objects.filter(
        ~Exists(opened), from_at__lte=at
    ).select_related("species", "authority")
    return found.order_by("from_at", "id")


def access_closure(team: UUID, closure: UUID) -> Closure:
    """A closure by notice with its species, or NotYours. One statement."""
    found: Closure | None = (
        Closure.objects.filter(team_id=team, id=closure).select_related("species").first()
    )
    if found is None:
        raise NotYours
    return found


def zone_codes(team: UUID) -> list[str]:
    """The codes of every zone that a rulebook ever drew. One statement."""
    found = Zone.objects.filter(team_id=team).values_list("code", flat=True)
    return list(found.distinct().order_by("code"))


def closures(team: UUID) -> list[Closure]:
    """Every closure by notice, the newest first, each with `opened_at` and `opened_by` or None."""
    opening = Reopening.objects.filter(closure_id=OuterRef("id"))
    return list(
        Closure.objects.filter(team_id=team)
        .select_related("species", "authority")
        .annotate(
            opened_at=Subquery(opening.values("from_at")[:1]),
            opened_by=Subquery(opening.values("reference")[:1]),
        )
        .order_by("-from_at", "-id")
    )


def limits(version: UUID) -> list[Rule]:
    """The bag limits and quotas of a version, with their authorities."""
    return rules_of(version, Matter.LIMIT)


def species_cards(team: UUID) -> list[Species]:
    """Every species with its handling card, by name."""
    return list(Species.objects.filter(team_id=team).order_by("name", "code"))


def authorities(team: UUID) -> list[Authority]:
    """Everyone who makes rules for the team, by name."""
    return list(Authority.objects.filter(team_id=team).order_by("name", "code"))
