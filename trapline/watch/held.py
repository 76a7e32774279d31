"""Held acts: tried again as long as what they wait for may come, then shown to a reviewer."""

from datetime import datetime, timedelta

from trapline.ground import sql
from trapline.ground.scope import team_scope
from trapline.journal.models import Act, ActState
from trapline.people.rights import actor_of
from trapline.record.desk import retry

PATIENCE = timedelta(days=7)
BATCH = 200


def redo_held(moment: datetime) -> int:
    """Try held acts again, oldest first; gives how many were applied. After 7 days: review."""
    applied = 0
    rows = sql.rows("trapline.watch", "held", {"batch": BATCH})
    for act, team, received_at in rows:
        with team_scope(team):
            sender = Act.objects.values_list("sent_by_id", flat=True).get(id=act)
            outcome = retry(actor_of(team, sender), act, moment)
            if outcome.state == ActState.APPLIED:
                applied += 1
            elif outcome.state == ActState.HELD and moment - received_at > PATIENCE:
                Act.objects.filter(id=act, state=ActState.HELD).update(state=ActState.REVIEW)
    return applied
