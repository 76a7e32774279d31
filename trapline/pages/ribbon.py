"""The daylight ribbon: the next hours with their day and night, and what is due standing on it.

What is past due stands in the margin, left of the double rule that is now.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from trapline.duties.selectors import OVERDUE, WAITING, Tally
from trapline.pages.backdrop import RIBBON, Backdrop, backdrop, per_cent
from trapline.standing.selectors import LineInPlay

HOURS = 48
BIN_S = 3 * 3600
NEAR = timedelta(hours=3)  # on a phone, the width of a mark
LANE_PX, HEAD_PX, LANES = 60, 50, 12


@dataclass(frozen=True)
class Standing:
    """A mark on a lane. `x` is 0% for what is past due: it stands in the margin."""

    x: str
    kind: str
    past: bool
    count: int
    first_at: datetime
    last_at: datetime

    def and_also(self, later: "Standing") -> "Standing":
        """This mark and a later one of the same kind as one."""
        return replace(self, count=self.count + later.count, last_at=later.last_at)

    @property
    def sign(self) -> str:
        """Which shape it has."""
        return "overdue" if self.past and self.kind == "check" else self.kind


@dataclass
class Lane:
    """A line and what is due on it."""

    line: UUID
    name: str
    y: int
    ahead: list[Standing] = field(default_factory=list)
    past: list[Standing] = field(default_factory=list)

    @property
    def drawn(self) -> list[Standing]:
        """The marks ahead, those of one kind that would cover each other as one."""
        found: list[Standing] = []
        for mark in self.ahead:
            near = [
                number
                for number, had in enumerate(found)
                if had.kind == mark.kind and mark.first_at - had.first_at < NEAR
            ]
            if near:
                found[near[-1]] = found[near[-1]].and_also(mark)
            else:
                found.append(mark)
        return found

    def by_day(self, zone: ZoneInfo) -> list[Standing]:
        """The same for the table: the marks of one kind and local day as one."""
        found: dict[tuple[str, bool, date], Standing] = {}
        for mark in self.past + self.ahead:
            key = (mark.kind, mark.past, mark.first_at.astimezone(zone).date())
            had = found.get(key)
            found[key] = mark if had is None else had.and_also(mark)
        return list(found.values())


@dataclass(frozen=True)
class Ribbon:
    """Everything that is drawn, for the lines of one time zone."""

    tz: str
    start: datetime
    hours: int
    backdrop: Backdrop
    lanes: list[Lane]
    left_out: int  # lines with duties that got no lane

    @property
    def height(self) -> int:
        return HEAD_PX + LANE_PX * max(len(self.lanes), 1)

    @property
    def rows(self) -> list[tuple[str, list[Standing]]]:
        """What the table says, line by line."""
        zone = ZoneInfo(self.tz)
        return [(lane.name, lane.by_day(zone)) for lane in self.lanes]


def ribbons(
    lines: Sequence[LineInPlay], tally: Sequence[Tally], start: datetime, hours: int = HOURS
) -> list[Ribbon]:
    """One ribbon for each time zone in which lines are in use; the first of them gives the sun."""
    due: dict[UUID, list[Standing]] = {}
    end = start + timedelta(hours=hours)
    for one in sorted(tally, key=lambda one: one.first_at or end):
        if one.line and one.first_at and one.last_at and one.first_at < end:
            due.setdefault(one.line, []).append(_mark(one, one.first_at, one.last_at, start, hours))
    zones: dict[str, list[LineInPlay]] = {}
    for line in lines:
        if line.lat is not None and (line.in_use or line.id in due):
            zones.setdefault(line.tz, []).append(line)
    return [_ribbon(tz, members, due, start, hours) for tz, members in sorted(zones.items())]


def _ribbon(
    tz: str,
    lines: list[LineInPlay],
    due: dict[UUID, list[Standing]],
    start: datetime,
    hours: int,
) -> Ribbon:
    place = lines[0]
    busy = sorted(
        (line for line in lines if line.id in due), key=lambda line: due[line.id][0].first_at
    )
    shown = sorted(busy[:LANES], key=lambda line: line.name)
    lanes = [
        Lane(line.id, line.name, HEAD_PX + LANE_PX * number) for number, line in enumerate(shown)
    ]
    for lane in lanes:
        for mark in due[lane.line]:
            (lane.past if mark.past else lane.ahead).append(mark)
    spot = (place.lat or 0.0, place.lon or 0.0)
    behind = backdrop(start, hours, spot, tz, RIBBON)
    return Ribbon(tz, start, hours, behind, lanes, len(busy) - len(shown))


def _mark(
    one: Tally, first_at: datetime, last_at: datetime, start: datetime, hours: int
) -> Standing:
    past = one.section in (OVERDUE, WAITING)
    x = "0%" if past else per_cent(first_at, start, hours)
    return Standing(x, one.kind, past, one.count, first_at, last_at)
