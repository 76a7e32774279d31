"""What every act on a set does last: fold, see what binds, bring the duty in line."""

from datetime import datetime
from uuid import UUID

from django.db import connection

from trapline.binding.bind import Bound, bind
from trapline.binding.world import World
from trapline.duties.asked import refresh_pulls
from trapline.duties.refresh import refresh_checks
from trapline.record.acting import Desk
from trapline.standing.fold import ALWAYS, fold


def judge_deferred() -> None:
    """Judge what deferred constraints keep now, while the act can still be set aside."""
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")


def settle(desk: Desk, set_id: UUID, *, since: datetime = ALWAYS, arranged: bool = True) -> Bound:
    """Fold the set and bring its check duty in line. Three statements, eight if arranged."""
    fold(desk.team, [set_id], since=since, arranged=arranged)
    bound = bind(desk.team, [set_id], World(desk.received_at))
    refresh_checks(bound, desk.received_at, act=desk.act)
    if arranged:
        refresh_pulls(desk.team, [set_id], World(desk.received_at))
        judge_deferred()
    return bound
