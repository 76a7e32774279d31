"""Rules that turn by themselves: a version comes into force, a rule begins or ends by its dates.

Nothing is written at that moment, so the watch notices it and raises the team's rule stamp; the
re-due does the rest, before anything is marked overdue.
"""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction

from trapline.ground import sql
from trapline.ground.scope import team_scope
from trapline.journal.team_settings import put_setting
from trapline.people.change import raise_rule_stamp

COUNTED = "rules-turned"  # the moment up to which a team's turns were counted
MOST_DAYS = 366  # a watch that stood still longer takes any day to have turned


def turn_rules(moment: datetime) -> int:
    """Raise the stamp of every team whose rules have turned; gives how many. Any number may run."""
    raised = 0
    found = sql.rows("trapline.watch", "turning", {"moment": moment})
    for team, since, written, dated, zones, days in found:
        turned = dated or _day_turned(since, moment, zones, days)
        if turned or not written or moment - since >= timedelta(days=1):
            _count(team, moment, raise_stamp=turned)
            raised += turned
    return raised


def _count(team: UUID, moment: datetime, *, raise_stamp: bool) -> None:
    with transaction.atomic(), team_scope(team):
        if raise_stamp:
            raise_rule_stamp(team)
        put_setting(team, COUNTED, moment.isoformat())


def _day_turned(
    since: datetime, moment: datetime, zones: Iterable[str], days: Iterable[int]
) -> bool:
    """Whether a rule of these days (from x 10000 + until) began or ended on a line's calendar."""
    spans = [divmod(both, 10000) for both in days]
    for name in zones if spans else ():
        first, last = (at.astimezone(ZoneInfo(name)).date() for at in (since, moment))
        if (last - first).days > MOST_DAYS:
            return True
        for step in range((last - first).days):
            before, after = first + timedelta(days=step), first + timedelta(days=step + 1)
            if any(_holds(one, before) != _holds(one, after) for one in spans):
                return True
    return False


def _holds(span: tuple[int, int], day: date) -> bool:
    first, last = span
    on = day.month * 100 + day.day
    return first <= on <= last if first <= last else on >= first or on <= last
