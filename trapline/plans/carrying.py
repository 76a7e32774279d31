"""What the team's kinds of device offer for the load, side by side, and the load itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from trapline.calc.load.around import alone, one_more_by_law, one_more_of_a_kind
from trapline.calc.load.kinds import Kind, Kit, Stay
from trapline.calc.load.plan import Answer, answer
from trapline.calc.load.question import Limits, Question
from trapline.calc.rates import garwood
from trapline.ground import sql

# Under so many nights of its own a kind's rate is the stated assumption.
FEWEST_NIGHTS = 100.0
LITRES = 1000.0


@dataclass(frozen=True)
class Work:
    """Minutes at a set for kinds that say none, and rates for kinds without one of the team's.

    assumed: catches of the target per 100 nights of one kind; `assumed_per_100` of all others.
    """

    set_up_min: float = 10.0
    check_min: float = 4.0
    tend_min: float = 10.0
    assumed_per_100: float = 1.0
    assumed: Mapping[UUID, float] = field(default_factory=dict)

    def supposed(self, kind: UUID) -> float:
        """Catches of the target per night that are supposed of a kind."""
        return self.assumed.get(kind, self.assumed_per_100) / 100


@dataclass(frozen=True)
class Offered:
    """One kind of device as it could be carried. `per_100`: catches of the target per 100 nights.

    `own` is whether its rates are the team's. Nights are those in service, half an interval off
    for each disturbed device (Nelson and Clark 1973). Limits are Garwood's, 95 %.
    """

    id: UUID
    name: str
    device_class: str
    action: str
    mass_kg: float | None
    volume_m3: float | None
    jaw_spread_m: float | None
    set_up_s: float | None
    check_s: float | None
    free: int
    price: float | None
    single_use: bool
    kit_mass_kg: float | None
    kit_price: float | None
    kits: int
    nights: float
    looks: int
    buried: int
    fails_first: str
    empty: float
    rates: dict[UUID, float]
    own: bool
    target: float
    lower: float
    upper: float
    lightest_kg: float | None
    heaviest_kg: float | None

    @property
    def litres(self) -> float | None:
        """As it is carried."""
        return None if self.volume_m3 is None else self.volume_m3 * LITRES

    @property
    def per_100(self) -> float:
        return 100 * self.target

    @property
    def limits_per_100(self) -> tuple[float, float]:
        return 100 * self.lower, 100 * self.upper

    @property
    def per_kg_100(self) -> float | None:
        """Catches of the target per 100 nights and kg carried."""
        return None if not self.mass_kg else self.per_100 / self.mass_kg

    def per_100_of(self, species: UUID) -> float:
        """Catches of any species per 100 nights, as supposed or the team's own."""
        return 100 * self.rates.get(species, 0.0)

    @property
    def in_service(self) -> float:
        """The share of looks that did not find it buried or frozen in."""
        return 1.0 if not self.looks else 1 - self.buried / self.looks


def offered(team: UUID, target: UUID, work: Work) -> list[Offered]:
    """All kinds of the team, by name. Two statements."""
    caught: dict[UUID, dict[UUID, int]] = {}
    weights: dict[UUID, list[float]] = {}
    for kind, species, count, lightest, heaviest in sql.rows(
        "trapline.plans", "caught", {"team": team}
    ):
        caught.setdefault(kind, {})[species] = count
        weights.setdefault(kind, []).extend(x for x in (lightest, heaviest) if x is not None)
    rows = sql.rows("trapline.plans", "kinds", {"team": team})
    return [
        _offered(row, caught.get(row[0], {}), weights.get(row[0], []), target, work) for row in rows
    ]


def _offered(
    row: tuple[Any, ...], caught: Mapping[UUID, int], weights: list[float], target: UUID,
    work: Work,
) -> Offered:  # fmt: skip
    *head, nights, disturbed, sprung, looks, buried, fails = row
    effective = float(nights) - float(disturbed) / 2
    own = effective >= FEWEST_NIGHTS
    assumed = work.supposed(row[0])
    rates = {key: n / effective for key, n in caught.items()} if own else {target: assumed}
    limits = garwood(caught.get(target, 0))
    values = (
        *head, effective, looks, buried, fails, float(sprung) / effective if own else 0.0, rates,
        own, rates.get(target, 0.0), limits.lower / effective if own else assumed,
        limits.upper / effective if own else assumed, min(weights, default=None),
        max(weights, default=None),
    )  # fmt: skip
    return Offered(*values)


@dataclass(frozen=True)
class Carrying:
    """The answer, with the kinds that it is about, and those that cannot be weighed.

    of_kinds: what one more device at hand adds, by kind; by_law: one more in each group that the
    law counts; alone: what each class of device gains without the others.
    """

    answer: Answer
    kinds: dict[str, Offered]
    unweighed: list[Offered]
    species: list[UUID]
    of_kinds: dict[str, float]
    by_law: list[float]
    alone: dict[str, float]


def load(
    found: Sequence[Offered], worth: Mapping[UUID, float], stay: Stay, limits: Limits, work: Work
) -> Carrying:
    """The best load. worth: of one catch of each species; a species that is not in it counts 0.

    A kind without a mass cannot be carried, and one without a price cannot be bought.
    """
    species = sorted({key for one in found for key in one.rates} | set(worth), key=str)
    weighed = [one for one in found if one.mass_kg]
    kinds = tuple(_kind(one, species, work) for one in weighed)
    question = Question(kinds, stay, tuple(worth.get(key, 0.0) for key in species), limits)
    said = answer(question)
    classes: dict[str, list[str]] = {}
    for one in weighed:
        classes.setdefault(one.device_class, []).append(str(one.id))
    return Carrying(
        answer=said,
        kinds={str(one.id): one for one in weighed},
        unweighed=[one for one in found if not one.mass_kg],
        species=species,
        of_kinds=one_more_of_a_kind(question, said.plan),
        by_law=one_more_by_law(question, said.plan),
        alone=alone(question, classes) if len(classes) > 1 else {},
    )


def _kind(one: Offered, species: list[UUID], work: Work) -> Kind:
    kit = None
    if one.single_use:
        sold = one.kit_price is not None
        kit = Kit(one.kit_mass_kg or 0.0, 0.0, one.kit_price or 0.0, one.kits, sold)
    return Kind(
        key=str(one.id), mass_kg=one.mass_kg or 0.0, volume_l=(one.volume_m3 or 0.0) * LITRES,
        set_up_min=work.set_up_min if one.set_up_s is None else one.set_up_s / 60,
        check_min=work.check_min if one.check_s is None else one.check_s / 60,
        tend_min=work.tend_min,
        rates=tuple(one.rates.get(key, 0.0) for key in species), empty=one.empty,
        in_service=one.in_service, price=one.price or 0.0, have=one.free,
        most=one.free if one.price is None else None, kit=kit,
    )  # fmt: skip
