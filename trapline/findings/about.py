"""Findings that are about no set: about a licence, a zone or the team's take, each one once."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from trapline.findings.models import Severity
from trapline.ground import sql


@dataclass(frozen=True)
class About:
    """One such finding. Exactly one of licence, zone and species is what it is about."""

    code: str
    severity: Severity
    discriminator: str
    numbers: dict[str, Any]
    rule: UUID | None
    licence: UUID | None = None
    zone: str | None = None
    species: UUID | None = None


def bring_in_line(
    team: UUID, codes: Sequence[str], found: Sequence[About], moment: datetime
) -> None:
    """Open what was found anew, close what is no longer so, among findings of these codes.

    One statement. Two workers at once open nothing twice.
    """
    values = {
        "team": team,
        "moment": moment,
        "looked_for": list(codes),
        "codes": [one.code for one in found],
        "severities": [one.severity.value for one in found],
        "licences": [one.licence for one in found],
        "zones": [one.zone for one in found],
        "species": [one.species for one in found],
        "discriminators": [one.discriminator for one in found],
        "numbers": [json.dumps(one.numbers) for one in found],
        "rules": [one.rule for one in found],
    }
    sql.run("trapline.findings", "write_about", values)
