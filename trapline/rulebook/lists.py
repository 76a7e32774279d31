"""Lists of what the rulebook says that the API filters and pages."""

from datetime import datetime
from typing import Any

from django.db.models import OuterRef, Subquery

from trapline.rulebook.models import Authority, Closure, Reopening, Rule, Species, Version


def versions() -> Any:
    """The rulebook's versions; each document is large and read one at a time."""
    return Version.objects.defer("document")


def rules() -> Any:
    """The rules of every version, with the code of who made them."""
    return Rule.objects.select_related("authority")


def rules_in_force(at: datetime) -> Any:
    """The rules of the version in force at a moment. One statement."""
    newest = Version.objects.filter(at__lte=at).order_by("-at", "-number").values("id")[:1]
    return rules().filter(version__in=newest)


def closures() -> Any:
    """Closures by notice, each with the moment at which another notice ends it (or null)."""
    opening = Reopening.objects.filter(closure_id=OuterRef("id"))
    return Closure.objects.annotate(opened_at=Subquery(opening.values("from_at")[:1]))


def species() -> Any:
    """The animals the rulebook speaks of."""
    return Species.objects.all()


def authorities() -> Any:
    """Who made rules."""
    return Authority.objects.all()
