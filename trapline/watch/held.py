"""Held acts: tried again as long as what they wait for may come, then shown to a reviewer."""

from datetime import datetime, timedelta

from django.db import transaction

from trapline.ground import sql
from trapline.ground.scope import team_scope
from trapline.journal.models import Act, ActState, Stray
from trapline.people.rights import actor_of
from trapline.record.desk import CONFLICT, REFUSED, retry, take

STRAYS = 200
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


def take_strays(moment: datetime) -> int:
    """Take up acts that came before their sender was in the team; gives how many.

    Each is taken as it was sent, with its skew, and its bytes then stand in the book of acts.
    """
    taken = 0
    for stray, team, member in sql.rows("trapline.watch", "strays", {"batch": STRAYS}):
        with transaction.atomic(), team_scope(team):
            kept = Stray.objects.select_for_update(skip_locked=True).filter(id=stray).first()
            if kept is None:
                continue
            raw, sender = bytes(kept.body), actor_of(team, member)
            outcome = take(sender, raw, received_at=moment, skew_s=kept.skew_s)
            if outcome.state not in (CONFLICT, REFUSED):
                kept.delete()
                taken += 1
    return taken
