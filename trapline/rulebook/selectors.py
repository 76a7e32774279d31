"""What the rulebook says. Each question is one statement, asked in the team's scope."""

from datetime import datetime
from uuid import UUID

from trapline.rulebook.models import Authority, Matter, Rule, Species, Version


def version_in_force(team: UUID, at: datetime) -> Version | None:
    """The version in force at a moment; None before the team's first."""
    found: Version | None = (
        Version.objects.filter(team_id=team, at__lte=at).order_by("-at", "-number").first()
    )
    return found


def versions(team: UUID) -> list[Version]:
    """All versions without their documents, the latest taken in first."""
    return list(Version.objects.filter(team_id=team).defer("document").order_by("-number"))


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


def limits(version: UUID) -> list[Rule]:
    """The bag limits and quotas of a version, with their authorities."""
    return rules_of(version, Matter.LIMIT)


def species_cards(team: UUID) -> list[Species]:
    """Every species with its handling card, by name."""
    return list(Species.objects.filter(team_id=team).order_by("name", "code"))


def authorities(team: UUID) -> list[Authority]:
    """Everyone who makes rules for the team, by name."""
    return list(Authority.objects.filter(team_id=team).order_by("name", "code"))
