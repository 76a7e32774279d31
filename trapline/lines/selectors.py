"""Reads of lines, catches and number books."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef

from trapline.ground import sql
from trapline.ground.errors import NotYours
from trapline.lines.models import Check, Line, WaitingEnd


def in_effect(checks: Any) -> Any:
    """Those of some checks that nothing corrects and that withdraw nothing."""
    corrected = Check.objects.filter(corrects_id=OuterRef("id"))
    return checks.filter(~Exists(corrected), withdraws=False)


def ends_in_effect() -> Any:
    """How animals' waiting ended, but for what was told by a check that is corrected since."""
    fallen = Check.objects.filter(
        act_id=OuterRef("act_id"), id__in=Check.objects.exclude(corrects=None).values("corrects_id")
    )
    return WaitingEnd.objects.filter(~Exists(fallen))


def zone_of_team(team: UUID) -> str:
    """The clock of the team's first line; UTC before there is one. One statement."""
    found = Line.objects.filter(team_id=team).order_by("id").values_list("tz", flat=True).first()
    return found or "UTC"


def day_of_team(team: UUID, moment: datetime) -> date:
    """The date of a moment on the team's clock, for what is done on no line. One statement."""
    return moment.astimezone(ZoneInfo(zone_of_team(team))).date()


def access_line(team: UUID, line: UUID) -> Line:
    """A line of the team, or NotYours. One statement."""
    found: Line | None = Line.objects.filter(team_id=team, id=line).first()
    if found is None:
        raise NotYours
    return found


@dataclass(frozen=True)
class NumberBook:
    """A run of numbers issued to a licence, and how far it is used."""

    id: UUID
    licence: UUID
    licence_number: str
    holder: str  # of the licence, and so of the book
    kind: str
    prefix: str
    first: int
    last: int
    used: int
    void: int
    lost: int
    returned: int
    next: int | None  # the lowest that nothing was done with; None when the book is full

    @property
    def left(self) -> int:
        """How many numbers nothing was done with."""
        spent = self.used + self.void + self.lost + self.returned
        return self.last - self.first + 1 - spent

    @property
    def next_number(self) -> str:
        """The next number as it is written, with its prefix."""
        return "" if self.next is None else f"{self.prefix}{self.next}"


def number_books(team: UUID, licence: UUID | None = None) -> list[NumberBook]:
    """Books of the team, or of one licence. One statement."""
    values = {"team": team, "licence": licence}
    return [NumberBook(*row) for row in sql.rows("trapline.lines", "books", values)]


@dataclass(frozen=True)
class NumberSaid:
    """A number of a book that something was done with. `species` None: on no animal of the record.

    `before`: the number before it that something was done with, or the one before the first.
    """

    number: int
    use: str
    at: datetime
    by: str
    animal: UUID | None
    on: date | None
    species: str | None
    bears: bool | None
    before: int

    @property
    def unused(self) -> tuple[int, int] | None:
        """The run of numbers just before it that nothing was done with."""
        return None if self.before + 1 == self.number else (self.before + 1, self.number - 1)


def numbers_of_book(team: UUID, series: UUID, *, most: int = 2000) -> list[NumberSaid]:
    """What became of a book's numbers, in order. One statement."""
    values = {"team": team, "series": series, "most": most}
    return [NumberSaid(*row) for row in sql.rows("trapline.lines", "numbers_of_book", values)]


@dataclass(frozen=True)
class Adrift:
    """A number used on an animal of which no catch in effect bears it any more."""

    id: UUID  # of the row that says it was used
    series: UUID
    kind: str
    prefix: str
    number: int
    animal: UUID
    licence_number: str

    @property
    def text(self) -> str:
        """The number as it is written."""
        return f"{self.prefix}{self.number}"


def numbers_adrift(team: UUID, series: UUID | None = None) -> list[Adrift]:
    """Numbers whose catch was withdrawn or corrected: void, or used again. One statement."""
    values = {"team": team, "series": series}
    return [Adrift(*row) for row in sql.rows("trapline.lines", "adrift", values)]
