"""Reads of the book of acts."""

import json
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from trapline.ground.errors import NotYours, Problem
from trapline.ground.words import sentence
from trapline.journal.models import Act, ActState

WAITS = (ActState.REVIEW, ActState.HELD)


@dataclass(frozen=True)
class SentAct:
    """An act as it was sent, and why it was not simply applied."""

    id: UUID
    kind: str
    by: str
    sent_by: str
    acted_at: datetime
    received_at: datetime
    clock_flagged: bool
    skew_s: float
    state: str
    reason: Problem | None
    settled_at: datetime | None
    settled_by: str
    body: dict[str, Any]

    @property
    def why(self) -> str:
        """The reason as a sentence."""
        return "" if self.reason is None else sentence(self.reason)

    @property
    def waits(self) -> bool:
        return self.state in WAITS


def acts_to_review(team: UUID, most: int = 200) -> list[SentAct]:
    """Acts that wait for a person or for an earlier act, the oldest first. One statement."""
    found = Act.objects.filter(team_id=team, state__in=WAITS).order_by("received_at")
    return [_sent(act) for act in _named(found)[:most]]


def settled_acts(team: UUID, most: int = 20) -> list[SentAct]:
    """Acts that a person decided on, the latest first. One statement."""
    found = Act.objects.filter(team_id=team, settled_by__isnull=False).order_by("-settled_at")
    return [_sent(act) for act in _named(found)[:most]]


@dataclass(frozen=True)
class Opened:
    """When somebody opened the stop page on their phone."""

    by: str
    at: datetime


def stop_pages_opened(team: UUID, since: datetime, most: int = 20) -> list[Opened]:
    """The latest first. One statement, by the index of such acts."""
    found = Act.objects.filter(team_id=team, kind="open_stop_page", acted_at__gte=since)
    told = found.order_by("-acted_at").values_list("acted_by__name", "acted_at")
    return [Opened(*row) for row in told[:most]]


def sent_act(team: UUID, act: UUID) -> SentAct:
    """One act that waits or was decided on; NotYours otherwise. One statement."""
    found = _named(Act.objects.filter(team_id=team, id=act)).first()
    if found is None or not (found.state in WAITS or found.settled_by_id):
        raise NotYours
    return _sent(found)


def _named(acts: Any) -> Any:
    return acts.select_related("acted_by", "sent_by", "settled_by")


def _sent(act: Act) -> SentAct:
    said = json.loads(bytes(act.body))
    return SentAct(
        id=act.id,
        kind=act.kind,
        by=act.acted_by.name,
        sent_by=act.sent_by.name,
        acted_at=act.acted_at,
        received_at=act.received_at,
        clock_flagged=act.clock_flagged,
        skew_s=act.skew_s,
        state=act.state,
        reason=Problem(**act.reason) if act.reason else None,
        settled_at=act.settled_at,
        settled_by=act.settled_by.name if act.settled_by else "",
        body=said["body"],
    )
