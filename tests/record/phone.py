"""A phone's act as bytes, and what becomes of it at the desk."""

import json
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from tests.world import START, World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.people.rights import Actor
from trapline.record.desk import Outcome, take

HOUR = timedelta(hours=1)
AT = START + 20 * HOUR  # in time for a snare set at START, which is due after 24 hours


def letter(world: World, kind: str, body: dict[str, Any], at: datetime = AT, **more: Any) -> bytes:
    """An act as a phone wrote it at `at` by its own clock."""
    said = {
        "id": more.pop("act", new_id()), "kind": kind, "version": 1, "team": world.slug,
        "wall_at": at.isoformat(), **more, "body": body,
    }  # fmt: skip
    return json.dumps(said, default=str).encode()


def check(set_id: UUID, **said: Any) -> dict[str, Any]:
    """The body of a check: in order and left, unless said otherwise."""
    return {"check": new_id(), "set": set_id, "found": "in_order", "done": ["left"], **said}


def sent(
    world: World,
    actor: Actor,
    kind: str,
    body: dict[str, Any],
    at: datetime = AT,
    *,
    received: datetime | None = None,
    skew: float = 0.0,
    **more: Any,
) -> Outcome:
    """Take the act in; received as it was made, unless said otherwise."""
    raw = letter(world, kind, body, at, **more)
    return take(actor, raw, received_at=received or at, skew_s=skew)


def became(outcome: Outcome) -> tuple[str, str, str]:
    """State, and field and code of the first problem (empty where there is none)."""
    first = outcome.problems[0] if outcome.problems else None
    return outcome.state, first.field if first else "", first.code if first else ""


def kept(world: World, outcome: Outcome) -> Act:
    """The act as the book has it."""
    with team_scope(world.team):
        found: Act = Act.objects.get(id=outcome.act)
        return found
