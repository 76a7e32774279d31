"""Tallies of sets that acts have changed are counted anew, in batches; killed, it goes on.

Nothing waits for it: a yield page reads what is not counted yet from the intervals.
"""

from uuid import UUID

from django.db import transaction

from trapline.ground import sql
from trapline.ground.scope import team_scope
from trapline.standing.fold import tally

BATCH = 500


def tally_all(*, batch: int = BATCH) -> int:
    """Count what is to be counted in all teams; gives how many sets. An all-team statement."""
    teams = [team for (team,) in sql.rows("trapline.watch", "untallied_teams", {})]
    return sum(tally_team(team, batch=batch) for team in teams)


def tally_team(team: UUID, *, batch: int = BATCH) -> int:
    """The same for one team."""
    total = 0
    while count := _tally_batch(team, batch):
        total += count
    return total


def _tally_batch(team: UUID, batch: int) -> int:
    """One batch in one transaction: claim, count. Two statements."""
    with transaction.atomic(), team_scope(team):
        rows = sql.rows("trapline.watch", "untallied", {"team": team, "batch": batch})
        if rows:
            tally(team, [set_id for (set_id,) in rows])
    return len(rows)
