"""Reads of how lines and sets stand. `member` narrows to what that member is responsible for."""

from dataclasses import dataclass
from uuid import UUID

from trapline.ground import sql


@dataclass(frozen=True)
class LineInPlay:
    """A line with how many sets stand on it and one of their places, for its sun.

    lat, lon: degrees; without any set the path's start; None when the line has neither.
    """

    id: UUID
    name: str
    tz: str
    travel: str
    status: str
    sets: int
    lat: float | None
    lon: float | None


def lines_in_play(team: UUID, member: UUID | None = None) -> list[LineInPlay]:
    """The team's lines by name; with a member, those on which they have a set. One statement."""
    values = {"team": team, "member": member}
    return [LineInPlay(*row) for row in sql.rows("trapline.standing", "lines", values)]
