"""What stands is made again from the facts, here and nowhere else."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

from trapline.calc.changing import BURIES_M
from trapline.ground import sql

ALWAYS = datetime(1, 1, 2, tzinfo=UTC)


def fold(
    team: UUID, sets: Sequence[UUID], *, since: datetime = ALWAYS, arranged: bool = True
) -> None:
    """Rebuild the state, periods and intervals of some sets from the record.

    since: intervals that end before this stay as they are (an act newest in time needs no more).
    arranged: whether an arrangement or ending may have changed; if not, periods are left alone.
    Two statements at most, whatever the number of sets. A set that would hold a device another
    set holds, or stand twice at once, raises IntegrityError from the exclusion constraints.
    """
    values = {
        "team": team, "sets": list(sets), "since": since, "untallied": _month_before(since),
        "buries_m": BURIES_M,
    }  # fmt: skip
    if arranged:
        sql.run("trapline.standing", "periods", values)
    sql.run("trapline.standing", "visits", values)


def fold_buried(team: UUID, line: UUID, since: datetime) -> None:
    """Date anew what was found buried or frozen in on a line: a reading of `since` has come in.

    Locks the states of those sets. One statement where there are none, as when it is the newest.
    """
    rows = sql.rows("trapline.standing", "buried", {"team": team, "line": line, "since": since})
    if rows:
        fold(team, [set_id for (set_id,) in rows], since=since, arranged=False)


def fold_parts(team: UUID, parts: Sequence[UUID]) -> None:
    """Rebuild where some parts were and are. One statement."""
    sql.run("trapline.standing", "parts", {"team": team, "parts": list(parts)})


def fold_zones(team: UUID, sets: Sequence[UUID]) -> int:
    """Reckon again in which zones some sets lie. One statement; gives how many changed."""
    return sql.run("trapline.standing", "zones", {"team": team, "sets": list(sets)})


def tally(team: UUID, sets: Sequence[UUID]) -> None:
    """Count the tallies of some sets anew from the month on that the fold wrote down.

    One statement. Whoever calls it holds the sets' states locked.
    """
    sql.run("trapline.standing", "tally", {"team": team, "sets": list(sets)})


def _month_before(since: datetime) -> date:
    """A month none of whose days, in whatever zone, comes after a look made at `since`."""
    # No zone is a whole day from UTC.
    return (since.astimezone(UTC) - timedelta(days=1)).date().replace(day=1)
