"""What parts have served, reckoned from the record each time: no counter is kept or typed."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal
from uuid import UUID

from trapline.ground import sql

By = Literal["nights", "springings", "catches"]

# A season is named by the year it begins in and runs from July to June.
SEASON_BEGINS = "6 months"


@dataclass(frozen=True)
class PartWear:
    """One part, where it is now, and what it served until it failed, or until the moment.

    nights: in a set, elapsed hours / 24; springings: looks that found the device sprung, with an
    animal or without; catches: animals. wet: at the water's edge, under water or ice. What a part
    served after it was mended is not counted: its first life is what a curve is made of.
    """

    part: UUID
    kind: UUID
    mark: str
    state: str | None
    since: datetime | None
    device: UUID | None
    nights: float
    wet_nights: float
    springings: int
    catches: int
    wet_catches: int
    seasons: int
    wet_seasons: int
    failed_at: datetime | None

    def served(self, by: By) -> float:
        """Its service in one of the units of wear."""
        return float(getattr(self, by))

    @property
    def failed(self) -> bool:
        """Whether it broke, or was put away as worn out."""
        return self.failed_at is not None


def part_wear(team: UUID, moment: datetime, kinds: Sequence[UUID] | None = None) -> list[PartWear]:
    """The wear of all parts of some kinds (None: of all) at a moment. One statement."""
    values = {
        "team": team, "moment": moment, "kinds": None if kinds is None else list(kinds),
        "season_begins": SEASON_BEGINS,
    }  # fmt: skip
    return [PartWear(*row) for row in sql.rows("trapline.standing", "wear", values)]
