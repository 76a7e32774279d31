"""Tallies of sets that acts have changed are counted anew, in batches, and the yield pages that

people look at are reckoned by them; killed, it goes on. Nothing waits for it: a yield page reads
what is not counted yet from the intervals, and reckons what is not kept.
"""

from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction

from trapline.ground import sql
from trapline.ground.scope import team_scope
from trapline.reports.grouped import reckon_ahead
from trapline.standing.fold import tally

BATCH = 500
LOOKED_AT = timedelta(days=7)  # who has not looked for so long may wait a moment


def tally_all(moment: datetime, *, batch: int = BATCH) -> int:
    """Count what is to be counted in all teams; gives how many sets. An all-team statement."""
    teams = [team for (team,) in sql.rows("trapline.watch", "untallied_teams", {})]
    total = 0
    for team in teams:
        total += tally_team(team, batch=batch)
        with transaction.atomic(), team_scope(team):
            reckon_ahead(team, moment - LOOKED_AT)
    return total


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
