"""What every act does last: fold, see what binds, bring duties and findings in line."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import connection

from trapline.binding.bind import Bound, bind
from trapline.binding.world import World
from trapline.duties.asked import refresh_pulls
from trapline.duties.refresh import refresh_checks
from trapline.findings.models import Look
from trapline.findings.refresh import refresh_findings
from trapline.ground.wake import REDUE, wake
from trapline.record.acting import Desk
from trapline.standing.fold import ALWAYS, fold
from trapline.standing.models import SetState

MOST = 500  # sets whose findings an act reckons itself


def judge_deferred() -> None:
    """Judge what deferred constraints keep now, while the act can still be set aside."""
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")


def settle(
    desk: Desk,
    set_id: UUID,
    *,
    since: datetime = ALWAYS,
    arranged: bool = True,
    caught: bool = False,
) -> Bound:
    """Fold the set, bring duty and findings in line. Five statements, ten if arranged."""
    if arranged:  # a set may be new, or gone: its findings are reckoned with it
        desk.owed = None
    fold(desk.team, [set_id], since=since, arranged=arranged)
    bound = bind(desk.team, [set_id], World(desk.received_at))
    refresh_checks(bound, desk.received_at, act=desk.act)
    if arranged:
        refresh_pulls(desk.team, [set_id], World(desk.received_at))
        judge_deferred()
    refresh_found(desk, set_id, caught=caught)
    return bound


def refresh_found(desk: Desk, set_id: UUID, *, caught: bool = False) -> None:
    """The set's findings as they are now. Two statements. caught: an animal may have been taken,

    and watch/ counts limits. Among many acts of a batch the set is owed to its end: no statement.
    """
    if desk.owed is not None:
        desk.owed.note(desk.team, set_id, desk.act, caught=caught)
        return
    again = [set_id] if caught else ()
    refresh_findings(desk.team, [set_id], World(desk.received_at), desk.act, again=again)
    if caught:
        wake(REDUE)


def look_again(desk: Desk, **which: Any) -> None:
    """What the findings of some sets rest on has changed. which: sets by a filter on their state.

    A few are reckoned at once; of many the look is brought forward, and watch/ takes them. Three
    statements.
    """
    standing = SetState.objects.filter(active=True, **which)
    # The lock is on the states alone; joined tables are not the program's to lock.
    locked = SetState.objects.select_for_update(no_key=True).filter(id__in=standing.values("id"))
    few = list(locked.order_by("id").values_list("id", flat=True)[: MOST + 1])
    if not few:
        return
    if len(few) <= MOST:
        refresh_findings(desk.team, few, World(desk.received_at), desk.act)
        return
    Look.objects.filter(set__in=standing.order_by().values("set_id")).update(
        next_at=desk.received_at
    )
    wake(REDUE)
