"""The world a question is asked of: nothing below reads the clock."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID


@dataclass(frozen=True)
class World:
    """A moment, and the rulebook version that is taken to be in force then (None: the team's)."""

    moment: datetime
    version: UUID | None = None
