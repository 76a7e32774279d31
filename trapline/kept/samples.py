"""Reads of samples: taken, to be handed in, handed in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from trapline.ground import sql
from trapline.kept.selectors import MOST


@dataclass(frozen=True)
class SampleTaken:
    """A sample under its label. `handed_at` None: it is still here."""

    id: UUID
    animal: UUID
    what: str
    label: str
    at: datetime
    by: str
    species: str | None  # None: no catch of the record bears its animal any more
    site_tag: str | None
    seal: str | None
    licence: str | None
    handed_at: datetime | None
    to: str | None
    reference: str | None
    handed_by: str | None


@dataclass(frozen=True)
class SampleAsked:
    """A sample that a rule asks for, open or overdue. `sample`: the one taken, if any."""

    duty: UUID
    due_at: datetime
    state: str
    animal: UUID
    species: str
    site_tag: str
    seal: str
    licence: str
    tz: str
    what: str
    office: str
    rule: str
    who: str | None
    sample: UUID | None
    label: str | None


def samples_asked(team: UUID, member: UUID | None = None, *, most: int = MOST) -> list[SampleAsked]:
    """Samples to be handed in by a rule, the earliest first. One statement."""
    values = {"team": team, "member": member, "most": most}
    return [SampleAsked(*row) for row in sql.rows("trapline.kept", "samples_asked", values)]


def samples_of(team: UUID, member: UUID | None = None, *, most: int = MOST) -> list[SampleTaken]:
    """Samples, those not handed in first. One statement. member: of animals that are theirs."""
    values = {"team": team, "member": member, "most": most}
    return [SampleTaken(*row) for row in sql.rows("trapline.kept", "samples", values)]
