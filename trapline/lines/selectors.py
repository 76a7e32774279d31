"""Reads of lines, catches and number books."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef

from trapline.ground import sql
from trapline.ground.errors import NotYours
from trapline.lines.models import Check, Line


def in_effect(checks: Any) -> Any:
    """Those of some checks that nothing corrects and that withdraw nothing."""
    corrected = Check.objects.filter(corrects_id=OuterRef("id"))
    return checks.filter(~Exists(corrected), withdraws=False)


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
