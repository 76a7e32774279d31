"""The world a question is asked of: nothing below reads the clock."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from trapline.binding.matters import VersionRules
from trapline.ground import sql


@dataclass(frozen=True)
class World:
    """A moment, and what is taken to be so then. What is left out is as the record has it.

    version: the rulebook version in force (None: the team's). draft: rules that no version has,
    in its place. snow_m, water_m: how much deeper the snow lies and how much higher the water
    stands than was last read. away: memberships of people who can tend nothing; covers: who looks
    after their sets meanwhile (None: nobody). lapsed: permissions that no longer hold. closed:
    codes of species whose season is shut, whatever the rules say. Another world is a what-if:
    whoever asks it writes nothing.
    """

    moment: datetime
    version: UUID | None = None
    draft: VersionRules | None = None
    snow_m: float = 0.0
    water_m: float = 0.0
    away: frozenset[UUID] = frozenset()
    covers: UUID | None = None
    lapsed: frozenset[UUID] = frozenset()
    closed: frozenset[str] = frozenset()


def version_at(team: UUID, world: World) -> UUID | None:
    """The version in force in this world: the one it names, or the team's. One statement."""
    given = {"team": team, "moment": world.moment, "version": world.version}
    rows = sql.rows("trapline.binding", "version", given)
    return rows[0][0] if rows else None
