"""Count effort and catches again from the record and compare with what is kept.

What is kept is remade from the facts by the fold and counted; a difference means that something
wrote around it, or that the program counts otherwise than it did.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db import transaction

from trapline.ground import sql
from trapline.ground.scope import team_scope
from trapline.lines.models import Set
from trapline.people.change import count_change
from trapline.standing.fold import fold, tally
from trapline.standing.models import Interval, SetState, Tally

BATCH = 200
Rows = dict[tuple[str, UUID, Any], tuple[Any, ...]]
_INTERVAL = (
    "from_at", "till_at", "by_id", "device_kind_id", "found", "targets", "others", "alive", "day",
    "sign", "placement",
)  # fmt: skip
_TALLY = ("looks", "targets", "others", "alive", "escaped", "unknown", "revision", "nights")
_KEY = ("set_id", "month", "by_id", "device_kind_id", "placement")


@dataclass(frozen=True)
class Difference:
    """A row that is kept otherwise than the record gives it: None where there is none."""

    what: str  # interval or tally
    set: UUID
    key: Any
    kept: tuple[Any, ...] | None
    counted: tuple[Any, ...] | None


class _Unmended(Exception):
    """Takes back what was counted."""


def recount(team: UUID, *, mend: bool = False, batch: int = BATCH) -> Iterator[list[Difference]]:
    """The differences of one batch of sets after the other. mend: what was counted stays."""
    with team_scope(team):
        keys = list(Set.objects.order_by("id").values_list("id", flat=True))
    for start in range(0, len(keys), batch):
        yield _batch(team, keys[start : start + batch], mend=mend)


def _batch(team: UUID, sets: list[UUID], *, mend: bool) -> list[Difference]:
    found: list[Difference] = []
    with suppress(_Unmended), team_scope(team), transaction.atomic():
        # As every act on a set locks it.
        list(SetState.objects.select_for_update(no_key=True).filter(set__in=sets).order_by("id"))
        tally(team, sets)  # what only waits to be counted is no difference
        kept = _rows(sets)
        fold(team, sets)
        tally(team, sets)
        counted = _rows(sets)
        found += [
            Difference(*key, kept.get(key), counted.get(key))
            for key in sorted(kept.keys() | counted.keys(), key=str)
            if kept.get(key) != counted.get(key)
        ]
        if not mend:
            raise _Unmended
        if found:
            count_change(team)
    return found


def _rows(sets: list[UUID]) -> Rows:
    intervals = Interval.objects.filter(set__in=sets).values_list("set_id", "id", *_INTERVAL)
    tallies = Tally.objects.filter(set__in=sets).values_list(*_KEY, *_TALLY)
    return {("interval", row[0], row[1]): row[2:] for row in intervals} | {
        # Nights are a sum of floats, whose last digits go by the order they came in.
        ("tally", row[0], row[1:5]): (*row[5:-1], round(row[-1], 6))
        for row in tallies
    }


def teams() -> list[UUID]:
    """All teams. An all-team statement."""
    return [team for (team,) in sql.rows("trapline.watch", "teams_all", {})]
