"""Findings brought in line with the facts: by an act, by a rule change, by time. One path."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any
from uuid import UUID

import numpy as np

from trapline.binding.world import World
from trapline.calc.clock import NEVER_US, to_us
from trapline.findings.find import Findings, find
from trapline.ground import sql


def refresh_findings(
    team: UUID,
    sets: Sequence[UUID],
    world: World,
    act: UUID | Mapping[UUID, UUID] | None = None,
    *,
    again: Collection[UUID] = (),
) -> Findings:
    """Open and close the findings of some sets as the facts have it now. Two statements.

    Whoever calls it holds the sets' states locked, so that no other reckons them at the same time.
    A set among `sets` that is out of business loses its findings. act: by what it came about, or
    by which act on each set. again: sets at which watch/ is to look again at once, since limits
    have to be counted.
    """
    found = find(team, sets, world)
    if again:
        at_once = np.isin(found.facts.ids, np.array(list(again), dtype=np.object_))
        soon = np.where(at_once, to_us(world.moment), NEVER_US)
        found = replace(found, next_us=np.minimum(found.next_us, soon))
    by = act if isinstance(act, Mapping) else dict.fromkeys(sets, act)
    write(team, sets, found, world.moment, by)
    return found


def write(
    team: UUID,
    sets: Sequence[UUID],
    found: Findings,
    moment: datetime,
    acts: Mapping[UUID, UUID | None],
) -> None:
    """One statement, whatever the number of sets."""
    ones = found.ones()
    read = found.facts
    coming = dict(zip(read.ids.tolist(), found.next_us.tolist(), strict=True))
    values: dict[str, Any] = {
        "team": team,
        "sets": list(sets),
        "next": [None if (us := coming.get(one, NEVER_US)) == NEVER_US else us for one in sets],
        "stamp": read.stamp,
        "moment": moment,
        "acts": [acts.get(one) for one in sets],
        "found": [one.set for one in ones],
        "codes": [one.code for one in ones],
        "discriminators": [one.discriminator for one in ones],
        "severities": [one.severity for one in ones],
        "numbers": [json.dumps(one.numbers) for one in ones],
        "rules": [one.rule for one in ones],
    }
    sql.run("trapline.findings", "write", values)
