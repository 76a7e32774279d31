"""Each member's looks against what was to be expected of them, shrunk to the team; kept with the

time of reckoning and the versions of what it was reckoned from. A worker reckons it each night for
the whole record and the season, and whoever looks may have it reckoned at once.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from trapline.calc.expected import Expected, expected
from trapline.calc.shrinkage import Shrunk, integrated
from trapline.ground import sql
from trapline.ground.ids import new_id
from trapline.lines.selectors import zone_of_team
from trapline.reports.models import Comparison
from trapline.reports.period import Period

# Raised with whatever changes what calc.expected and calc.shrinkage give.
METHOD = "expected 1, integrated 1"
KEPT_FOR = timedelta(days=30)  # days that nobody asked for again are dropped


@dataclass(frozen=True)
class Compared:
    """`change`: the team's change count it was reckoned under; `stale`: it is another now.

    `members`: who looked, each with a ratio where it says something.
    """

    at: datetime
    change: int
    method: str
    stale: bool
    members: dict[UUID, tuple[Expected, Shrunk | None]]


def compared(team: UUID, period: Period, moment: datetime) -> Compared:
    """As it was last reckoned, stale or not; reckoned now if it never was.

    One statement, three if it is reckoned.
    """
    change, found = _stored(team, period)
    return found or _reckon(team, period, moment, change)


def compare_now(team: UUID, period: Period, moment: datetime) -> Compared:
    """Reckon it anew. Three statements."""
    return _reckon(team, period, moment, _stored(team, period)[0])


def compare_nightly(team: UUID, moment: datetime) -> int:
    """Reckon the whole record and this season where the team's day is another than when they were
    last reckoned and something has changed since; gives how many were. Drops what is old."""
    zone = ZoneInfo(zone_of_team(team))
    today = moment.astimezone(zone).date()
    Comparison.objects.filter(team_id=team, at__lt=moment - KEPT_FOR).delete()
    count = 0
    for period in (Period(), season_of(today)):
        change, found = _stored(team, period)
        if found is None or (found.stale and found.at.astimezone(zone).date() < today):
            _reckon(team, period, moment, change)
            count += 1
    return count


def season_of(day: date) -> Period:
    """The season a day lies in: from July to June."""
    year = day.year if day.month >= 7 else day.year - 1
    return Period(date(year, 7, 1), date(year + 1, 6, 30))


def _stored(team: UUID, period: Period) -> tuple[int, Compared | None]:
    values = {"team": team, "first": period.first, "last": period.last}
    ((now, at, change, method, members),) = sql.rows("trapline.reports", "comparison", values)
    if at is None:
        return now, None
    read = {
        UUID(key): (Expected(**told), Shrunk(**ratio) if ratio else None)
        for key, (told, ratio) in json.loads(members).items()
    }
    stale = now != change or method != METHOD
    return now, Compared(at, change, method, stale, read)


def _reckon(team: UUID, period: Period, moment: datetime, change: int) -> Compared:
    """`change`: the count read before the record is. Two statements."""
    members = _against(team, period)
    told = {
        str(key): [asdict(against), asdict(ratio) if ratio else None]
        for key, (against, ratio) in members.items()
    }
    row = Comparison(
        id=new_id(), team_id=team, first=period.first, last=period.last, at=moment, change=change,
        method=METHOD, members=told,
    )  # fmt: skip
    Comparison.objects.bulk_create(
        [row],
        update_conflicts=True,
        unique_fields=["team", "first", "last"],
        update_fields=["at", "change", "method", "members"],
    )
    return Compared(moment, change, METHOD, stale=False, members=members)


def _against(team: UUID, period: Period) -> dict[UUID, tuple[Expected, Shrunk | None]]:
    values = {"team": team, "first": period.first, "last": period.last}
    rows = sql.rows("trapline.reports", "strata", values, kept=False)
    people = {one: at for at, one in enumerate(dict.fromkeys(row[0] for row in rows))}
    strata = {one: at for at, one in enumerate(dict.fromkeys(row[1:5] for row in rows))}
    told = expected(
        [people[row[0]] for row in rows], [strata[row[1:5]] for row in rows],
        [row[5] for row in rows], [row[6] for row in rows],
    )  # fmt: skip
    comparable = [at for at, one in told.items() if one.tells]
    ratios: dict[int, Shrunk] = {}
    if len(comparable) >= 2:
        shrunk = integrated(
            [told[at].observed for at in comparable], [told[at].expected for at in comparable]
        )
        ratios = dict(zip(comparable, shrunk, strict=True))
    return {key: (told[at], ratios.get(at)) for key, at in people.items()}
