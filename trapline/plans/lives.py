"""Lives of the team's parts, what to inspect before the season, and the spares that cover it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

import numpy as np

from trapline.calc.wear import spares, steps, weibull
from trapline.calc.wear.exposure import Lives, lives
from trapline.calc.wear.steps import Steps
from trapline.calc.wear.weibull import Weibull
from trapline.gear.models import AfterCatch, KindPart, PartKind
from trapline.gear.selectors import access_part_kind
from trapline.ground import sql
from trapline.plans.carrying import FEWEST_NIGHTS
from trapline.standing.selectors import stock
from trapline.standing.wear import SEASON_BEGINS, By, PartWear, part_wear

SERVING = "built_in"


@dataclass(frozen=True)
class KindLife:
    """A kind of part with its parts' lives. `curve` is None under five failures."""

    kind: PartKind
    by: By
    parts: list[PartWear]
    lives: Lives
    curve: Weibull | None
    steps: Steps


def kind_life(team: UUID, kind: UUID, by: By, moment: datetime) -> KindLife:
    """The lives of one kind of part. Two statements. NotYours when it is not there."""
    found = access_part_kind(team, kind)
    return _life(found, by, part_wear(team, moment, [kind]))


def _life(kind: PartKind, by: By, parts: list[PartWear]) -> KindLife:
    data = lives([one.served(by) for one in parts], [one.failed for one in parts])
    return KindLife(kind, by, parts, data, weibull.fit(data), steps.steps(data))


@dataclass(frozen=True)
class ToInspect:
    """A part in service, and its chance of failing within the nights to come, with limits."""

    kind: PartKind
    part: PartWear
    chance: float
    lower: float
    upper: float


@dataclass(frozen=True)
class SpareRow:
    """How many of one kind cover the season.

    needed is None where nothing can be said: under five failures of what lasts, under so many
    nights of what a catch spends. `basis`: life, catches; none or nights where there is too little.
    served: nights; of what a catch spends, of the sets that it stood in.
    """

    kind: PartKind
    basis: str
    serving: int
    in_stock: int
    failures: int
    served: float
    expected: float | None
    needed: int | None

    @property
    def to_buy(self) -> int | None:
        """What is lacking."""
        return None if self.needed is None else max(0, self.needed - self.in_stock)

    @property
    def cost(self) -> Decimal | None:
        """Of what is lacking, where a price is entered."""
        if self.to_buy is None or self.kind.price is None:
            return None
        return self.to_buy * self.kind.price


@dataclass(frozen=True)
class Season:
    """What the team's parts ask for before a season of so many nights."""

    nights: float
    chance: float
    inspect: list[ToInspect]
    spares: list[SpareRow]

    @property
    def cost(self) -> Decimal:
        """Of everything that is lacking and has a price."""
        return sum((row.cost for row in self.spares if row.cost is not None), Decimal(0))

    @property
    def unpriced(self) -> bool:
        """Whether something that is lacking has no price."""
        return any(row.to_buy and row.kind.price is None for row in self.spares)


def season_ahead(team: UUID, moment: datetime, nights: float, chance: float) -> Season:
    """What to inspect, likeliest to fail first, and the spares list. Five statements.

    nights: how long each device will stand. chance: that the spares are enough, 0 to 1.
    """
    kinds = list(PartKind.objects.filter(team_id=team).order_by("role", "name"))
    spent = set(
        KindPart.objects.filter(team_id=team, after_catch=AfterCatch.SPENT).values_list(
            "role", flat=True
        )
    )
    parts: dict[UUID, list[PartWear]] = {kind.id: [] for kind in kinds}
    for one in part_wear(team, moment):
        parts[one.kind].append(one)
    loose = {(row.kind_id, row.state): row.count for row in stock(team)}
    caught = _caught(team, moment, [kind.id for kind in kinds if kind.role in spent])
    inspect: list[ToInspect] = []
    rows: list[SpareRow] = []
    for kind in kinds:
        life = _life(kind, "nights", parts[kind.id])
        serving = [p for p in life.parts if p.state == SERVING and not p.failed]
        in_stock = loose.get((kind.id, "stock"), 0)
        if kind.role in spent:
            rows.append(_by_catches(life, serving, in_stock, caught.get(kind.id), nights, chance))
        else:
            inspect += _likeliest(life, serving, nights)
            rows.append(_by_life(life, serving, in_stock, nights, chance))
    inspect.sort(key=lambda one: -one.chance)
    return Season(nights, chance, inspect, rows)


def _likeliest(life: KindLife, serving: list[PartWear], nights: float) -> list[ToInspect]:
    if life.curve is None or not serving:
        return []
    band = life.curve.failing([one.nights for one in serving], nights)
    return [
        ToInspect(life.kind, part, float(value), float(lower), float(upper))
        for part, value, lower, upper in zip(
            serving, band.value, band.lower, band.upper, strict=True
        )
    ]


def _by_life(
    life: KindLife, serving: list[PartWear], in_stock: int, nights: float, chance: float
) -> SpareRow:
    expected = needed = None
    if life.curve is not None and serving:
        chances = life.curve.failing([one.nights for one in serving], nights).value
        fresh = min(float(life.curve.failing(0.0, nights).value), 0.99)
        found = spares.failures(chances, fresh)
        expected = float(found @ np.arange(len(found)))
        needed = spares.enough(found, chance)
    return SpareRow(
        life.kind, "life" if life.curve else "none", len(serving), in_stock, life.lives.failures,
        life.lives.total, expected, needed,
    )  # fmt: skip


def _by_catches(
    life: KindLife, serving: list[PartWear], in_stock: int, past: spares.Seasons | None,
    nights: float, chance: float,
) -> SpareRow:  # fmt: skip
    stood = float(past.nights.sum()) if past else 0.0
    found = None
    if past and serving and stood >= FEWEST_NIGHTS:
        found = spares.catches_to_come(past, [nights] * len(serving))
    return SpareRow(
        life.kind, "catches" if found else "nights", len(serving), in_stock,
        int(past.catches.sum()) if past else 0, stood,
        found.mean if found else None, found.enough(chance) if found else None,
    )  # fmt: skip


def _caught(team: UUID, moment: datetime, kinds: Sequence[UUID]) -> dict[UUID, spares.Seasons]:
    values = {
        "team": team, "moment": moment, "kinds": list(kinds), "season_begins": SEASON_BEGINS,
    }  # fmt: skip
    by_kind: dict[UUID, list[tuple[int, float, int]]] = {}
    for kind, season, _set, nights, catches in sql.rows("trapline.plans", "spent", values):
        if nights > 0:
            by_kind.setdefault(kind, []).append((season, nights, catches))
    return {
        kind: spares.Seasons(
            np.array([row[2] for row in rows], dtype=np.float64),
            np.array([row[1] for row in rows], dtype=np.float64),
            [row[0] for row in rows],
        )
        for kind, rows in by_kind.items()
    }
