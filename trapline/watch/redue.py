"""After a rule change: open check duties are reckoned again in batches; killed, it goes on."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from trapline.binding.bind import bind
from trapline.binding.world import World
from trapline.duties.asked import reckon_asked, refresh_pulls
from trapline.duties.refresh import refresh_checks
from trapline.ground import sql
from trapline.ground.scope import team_scope
from trapline.people.change import count_change
from trapline.standing.fold import fold_zones

BATCH = 5000


def redue(moment: datetime, *, batch: int = BATCH) -> int:
    """Reckon again what stands under an older stamp, in all teams; gives how many sets."""
    teams = [team for (team,) in sql.rows("trapline.watch", "stale_teams", {})]
    count = sum(redue_team(team, moment, batch=batch) for team in teams)
    for (team,) in sql.rows("trapline.watch", "unasked_teams", {}):
        ask_team(team, moment)
    return count


def ask_team(team: UUID, moment: datetime) -> None:
    """Ask a team's catches and licences anew, if the rules have changed since. One transaction."""
    with transaction.atomic(), team_scope(team):
        count_change(team)  # first: asked by one worker at a time
        reckon_asked(team, World(moment))


def redue_team(team: UUID, moment: datetime, *, batch: int = BATCH) -> int:
    """The same for one team."""
    total = 0
    while count := redue_batch(team, moment, batch):
        total += count
    return total


def redue_batch(team: UUID, moment: datetime, batch: int = BATCH) -> int:
    """One batch in one transaction: claim, zones, rules, duties, pulls, change count; 8 statements.

    The stamp written is the one read with the rules: a rule change that lands meanwhile leaves the
    batch stale, and it is taken again.
    """
    with transaction.atomic(), team_scope(team):
        rows = sql.rows("trapline.watch", "stale", {"team": team, "batch": batch})
        if not rows:
            return 0
        sets = [set_id for (set_id,) in rows]
        fold_zones(team, sets)
        refresh_checks(bind(team, sets, World(moment)), moment)
        refresh_pulls(team, sets, World(moment))
        count_change(team)
    return len(rows)
