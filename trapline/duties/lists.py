"""Lists of duties and notices that the API filters and pages."""

from typing import Any
from uuid import UUID

from django.db.models import Case, F, OuterRef, Q, Subquery, Value, When
from django.db.models.functions import Coalesce

from trapline.duties.models import OPEN, Duty, Kind, Notice, Stage
from trapline.standing import lists as standing
from trapline.standing.models import SetState


def sets(member: UUID | None) -> Any:
    """Sets as they stand, with `due_at`: when the next check is due (null: at no time)."""
    open_check = Duty.objects.filter(set=OuterRef("set_id"), kind=Kind.CHECK, state__in=OPEN)
    return standing.sets(member).annotate(due_at=Subquery(open_check.values("due_at")))


def duties(member: UUID | None) -> Any:
    """Duties, each with `about`: the set it is about, if any; and `recomputing`: the rules have

    changed since it was reckoned. With a member: theirs, and those of sets they look after.
    """
    old = Q(kind=Kind.CHECK, state__in=OPEN, stamp__lt=F("team__rule_stamp"))
    seen = Duty.objects.select_related("rule").annotate(
        about=Coalesce("set_id", "waiting__set_id", "caught__check_made__set_id"),
        recomputing=Case(When(old, then=Value(True)), default=Value(False)),
    )
    if member is None:
        return seen
    theirs = SetState.objects.filter(responsible=member).values("set_id")
    return seen.filter(Q(who=member) | of_sets(theirs))


def of_sets(sets: Any) -> Q:
    """Duties about some sets, or about an animal that waits or was caught in one of them."""
    return Q(set__in=sets) | Q(waiting__set__in=sets) | Q(caught__check_made__set__in=sets)


def notices() -> Any:
    """The outbox: who was or will be told of what, and what became of it."""
    return Notice.objects.select_related("duty")


def stages(team: UUID) -> Any:
    """Who is told when, by kind of duty and in order of time."""
    return Stage.objects.filter(team_id=team).order_by("kind", "offset_s", "number")
