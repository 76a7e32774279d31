"""The ribbon's marks: none covers another, and the table keeps every day apart."""

from datetime import UTC, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from trapline.duties.selectors import LATER, Tally
from trapline.pages.ribbon import Lane, ribbons
from trapline.standing.selectors import LineInPlay

LINE = UUID(int=1)
START = datetime(2026, 1, 5, 12, tzinfo=UTC)


def _due(kind: str, hours: float, count: int) -> Tally:
    at = START + timedelta(hours=hours)
    return Tally(LINE, kind, LATER, count, at, at)


def _lane(*tally: Tally) -> Lane:
    line = LineInPlay(LINE, "Creek line", "UTC", "foot", "open", True, 61.9, -128.5)
    (ribbon,) = ribbons([line], list(tally), START)
    return ribbon.lanes[0]


def test_marks_of_one_kind_that_would_cover_each_other_are_drawn_as_one() -> None:
    lane = _lane(_due("check", 20, 3), _due("check", 20.5, 12), _due("check", 24, 1))
    assert [(mark.first_at - START, mark.count) for mark in lane.drawn] == [
        (timedelta(hours=20), 15),
        (timedelta(hours=24), 1),
    ]


def test_marks_of_two_kinds_stay_two() -> None:
    lane = _lane(_due("check", 20, 3), _due("search", 20.5, 1), _due("check", 21, 1))
    assert [(mark.kind, mark.count) for mark in lane.drawn] == [("check", 4), ("search", 1)]


def test_the_table_keeps_apart_the_days_that_one_mark_covers() -> None:
    lane = _lane(_due("check", 11.5, 3), _due("check", 12.5, 2))
    assert len(lane.drawn) == 1
    assert [mark.count for mark in lane.by_day(ZoneInfo("UTC"))] == [3, 2]
