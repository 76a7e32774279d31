"""Findings that turn by themselves: a season, a date, a due moment, a rule that has changed."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from trapline.binding.world import World
from trapline.findings.animals import refresh_animals
from trapline.findings.limits import refresh_limits
from trapline.findings.refresh import refresh_findings
from trapline.ground import sql
from trapline.ground.scope import team_scope
from trapline.people.change import count_change

BATCH = 5000


def look_over(moment: datetime, *, batch: int = BATCH) -> int:
    """Reckon findings whose moment has come or whose rules have changed, in all teams.

    Gives how many sets were looked at. Any number may run at once; killed, it goes on. An
    all-team statement finds the teams.
    """
    teams = [team for (team,) in sql.rows("trapline.watch", "look_teams", {"moment": moment})]
    return sum(look_team(team, moment, batch=batch) for team in teams)


def look_team(team: UUID, moment: datetime, *, batch: int = BATCH) -> int:
    """The same for one team, its limits and its animals once at the end."""
    total = 0
    while count := look_batch(team, moment, batch):
        total += count
    with transaction.atomic(), team_scope(team):
        count_change(team)  # first: limits are reckoned by one worker at a time
        refresh_limits(team, World(moment))
        refresh_animals(team, World(moment))
    return total


def look_batch(team: UUID, moment: datetime, batch: int = BATCH) -> int:
    """One batch in one transaction: claim, facts, findings, change count. Four statements."""
    with transaction.atomic(), team_scope(team):
        rows = sql.rows("trapline.watch", "looks", {"team": team, "moment": moment, "batch": batch})
        if not rows:
            return 0
        refresh_findings(team, [set_id for (set_id,) in rows], World(moment))
        count_change(team)
    return len(rows)
