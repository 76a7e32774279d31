"""What is reckoned once a night, in every team after its own midnight."""

from datetime import datetime

from django.db import transaction

from trapline.ground import sql
from trapline.ground.scope import team_scope
from trapline.reports.kept import forget
from trapline.reports.members_compared import KEPT_FOR, compare_nightly


def nightly(moment: datetime) -> int:
    """Compare members where a new day has begun since; gives how many comparisons were reckoned.

    Any hour will do: a team that was reckoned today is left alone. An all-team statement.
    """
    count = 0
    for (team,) in sql.rows("trapline.watch", "teams_all", {}):
        with transaction.atomic(), team_scope(team):
            forget(team, moment - KEPT_FOR)
            count += compare_nightly(team, moment)
    return count
