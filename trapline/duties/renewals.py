"""Renewal duties: a permission is to be renewed some days before it ends."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

import numpy as np

from trapline.calc.clock import DAY_US, FIRST_YEAR, LAST_YEAR, to_datetime, zone_table
from trapline.ground import sql
from trapline.journal.team_settings import put_setting, setting
from trapline.land.models import Permission
from trapline.lines.models import Line

RENEWAL_DAYS, THIRTY = "renewal-days", 30
_EPOCH = date(1970, 1, 1)


def renewal_days(team: UUID) -> int:
    """How many days before its end a permission is to be renewed. One statement."""
    return int(setting(team, RENEWAL_DAYS, THIRTY))


def put_renewal_days(team: UUID, days: int) -> None:
    """Keep the team's number of days."""
    put_setting(team, RENEWAL_DAYS, days)


def refresh_renewals(
    team: UUID,
    permissions: Sequence[UUID] | None = None,
    *,
    moment: datetime,
    act: UUID | None = None,
    at: datetime | None = None,
) -> None:
    """Bring the renewal duties of some permissions (of all, if None) in line with their dates.

    act, at: the act that said the dates anew, and when; without one a later due moment only moves
    the duty. Four statements.
    """
    asked = Permission.objects.filter(team_id=team)
    if permissions is not None:
        asked = asked.filter(id__in=permissions)
    rows = list(asked.values_list("id", "valid_from", "valid_until", "withdrawn_on"))
    if not rows:
        return
    days = timedelta(days=renewal_days(team))
    last_days = [_asked_on(starts, ends, days) for _id, starts, ends, _gone in rows]
    ends_at = _ends_of([*last_days, *(row[2] for row in rows)], _zones(team))
    due, over = ends_at[: len(rows)], ends_at[len(rows) :]
    sql.run(
        "trapline.duties",
        "renew",
        {
            "team": team,
            "permissions": [row[0] for row in rows],
            "due": [None if row[3] else when for row, when in zip(rows, due, strict=True)],
            "opens": [when is not None and when > moment for when in over],
            "act": act,
            "at": at,
            "moment": moment,
        },
    )


def _asked_on(starts: date, ends: date, days: timedelta) -> date:
    """The last day on which it may still be renewed in time; of a short one its last."""
    return ends - days if starts + days <= ends else ends


def _zones(team: UUID) -> list[str]:
    """The team's clocks. A permission has none of its own."""
    return list(Line.objects.filter(team_id=team).values_list("tz", flat=True).distinct()) or [
        "UTC"
    ]


def _ends_of(days: Sequence[date], zones: Sequence[str]) -> list[datetime | None]:
    """The end of each date on that clock of the team's where it comes first: never in the user's

    favour. None for a date in a year that is not reckoned with: it is as good as no end.
    """
    numbers = np.array([(day - _EPOCH).days for day in days], dtype=np.int64)
    known = np.array([FIRST_YEAR < day.year < LAST_YEAR - 1 for day in days])
    if not known.any():
        return [None] * len(days)
    reckoned = numbers[known]
    first, last = int(reckoned.min()) * DAY_US, (int(reckoned.max()) + 1) * DAY_US
    ends = np.min(
        [zone_table(ZoneInfo(name), first, last).end_of(reckoned) for name in zones], axis=0
    )
    found = iter(ends.tolist())
    return [to_datetime(next(found)) if one else None for one in known.tolist()]
