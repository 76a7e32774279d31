"""Checks about which something looks wrong: what stopped none of them, for a reviewer to see."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from trapline.ground import sql
from trapline.ground.words import FLAG_WORDS

# These flags say how a check came in.
HOW_IT_CAME = {"correction", "withdrawn", "reviewed"}


@dataclass(frozen=True)
class Doubtful:
    """A check and its flags; how far its phone was from the set, in metres, if it said so."""

    id: UUID
    set: UUID
    label: str
    at: datetime
    tz: str
    by: str
    flags: list[str]
    accuracy_m: float | None
    away_m: float | None

    @property
    def doubts(self) -> list[str]:
        return [flag for flag in self.flags if flag not in HOW_IT_CAME]


def doubtful_checks(team: UUID, since: datetime, most: int = 50) -> list[Doubtful]:
    """The newest first; those that were corrected stand no longer. One statement."""
    values = {
        "team": team, "since": since, "most": most,
        "doubts": [flag for flag in FLAG_WORDS if flag not in HOW_IT_CAME],
    }  # fmt: skip
    return [Doubtful(*row) for row in sql.rows("trapline.standing", "doubtful", values)]
