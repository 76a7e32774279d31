"""The team's counters."""

from uuid import UUID

from django.db.models import F

from trapline.ground import sql
from trapline.people.models import Team


def count_change(team: UUID) -> None:
    """Something a page shows has changed. Call it last in a transaction: the team's row stays

    locked until the commit that follows. One statement.
    """
    sql.run("trapline.people", "count_change", {"team": team})


def raise_rule_stamp(team: UUID) -> None:
    """What binds has changed: watch/ reckons open check duties again, in batches. One statement."""
    Team.objects.filter(id=team).update(rule_stamp=F("rule_stamp") + 1)
