"""The team in force. A team-owned row cannot be asked for without one."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from uuid import UUID

from django_scopes import scope, scopes_disabled


class NoTeamError(LookupError):
    """A scope was opened without a team."""


@contextmanager
def team_scope(team: Any) -> Iterator[None]:
    """Put `team` (a Team or its id) in force. None is refused: the library would give all teams."""
    key = getattr(team, "pk", team)
    if not isinstance(key, UUID):
        raise NoTeamError("A team scope needs a team; none was given.")
    with scope(team=key):
        yield


# For the few statements that mean every team (named in tests/house/test_sql.py).
all_teams = scopes_disabled
