"""Two groups side by side, or one in two periods: the ratio of their target rates."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from trapline.calc.compare import RateRatio, rate_ratio
from trapline.ground.errors import Problem, Refused
from trapline.reports.figures import data_of
from trapline.reports.grouped import Packs, packed
from trapline.reports.kept import Asked, Counted
from trapline.reports.period import Period

NOTHING = Counted("", 0, 0.0, 0, 0, 0, 0, 0, False, 0, 0)


@dataclass(frozen=True)
class Both:
    """What was counted of the first and of the second, and what can be said of their rates."""

    first: Counted
    second: Counted
    ratio: RateRatio


def compared(
    team: UUID, by: str, period: Period, first: str, second: str, *, member: UUID | None = None
) -> Both | None:
    """Two of the groups; None when one is not there, or both are one. One statement."""
    if first == second:
        return None
    counted, packs = packed(Asked(team, by, period, member), [first, second])
    if first not in packs or second not in packs:
        return None
    return _both(counted[first], packs[first], counted[second], packs[second])


def apart(first: Period, second: Period) -> None:
    """Refuse two periods that share a day, or of which a side is open: looks would be in both."""
    if None in (first.first, first.last, second.first, second.last):
        raise Refused(Problem("b_first", "periods_open"))
    one, other = sorted((first, second), key=lambda period: period.first or date.min)
    if one.last is not None and other.first is not None and other.first <= one.last:
        raise Refused(Problem("b_first", "periods_overlap"))


def compared_periods(
    team: UUID, by: str, key: str | None, first: Period, second: Period,
    *, member: UUID | None = None,
) -> Both:  # fmt: skip
    """One of the groups in two periods, or with None all of the team's looks. Two statements.

    A look belongs to the period of its day, with all its nights. Refused when the periods overlap.
    """
    apart(first, second)
    sides = []
    for period in (first, second):
        asked = Asked(team, by if key is not None else "line", period, member)
        counted, packs = packed(asked, [] if key is None else [key], most=None)
        sides += [_summed(counted.values()), _together(packs)]
    return _both(*sides)  # type: ignore[arg-type]


def _summed(groups: Iterable[Counted]) -> Counted:
    whole = Counted(**vars(NOTHING))
    for one in groups:
        whole.add(one)
    return whole


def _together(packs: Packs) -> list[tuple[UUID, bytes]]:
    return [one for theirs in packs.values() for one in theirs]


def _both(
    first: Counted, packs: list[tuple[UUID, bytes]], second: Counted, more: list[tuple[UUID, bytes]]
) -> Both:
    return Both(first, second, rate_ratio(data_of(packs)[0], data_of(more)[0]))
