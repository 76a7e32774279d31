"""Food: the table of what meat gives, what was fit, who ate it, what the rounds were."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any
from uuid import UUID

import yaml

from trapline.calc.food import Helping, Meat, helping, together
from trapline.findings.models import FitSource
from trapline.ground import sql
from trapline.kept.models import FoodValue

ON_FOOT = ("foot", "snowshoe", "ski")


@dataclass(frozen=True)
class FoodRow:
    """What 100 g of a species' raw meat give, and what share of the animal is meat.

    None: nothing is said. `source` and `status` say where it is from.
    """

    species: str
    kcal_per_100g: float | None
    protein_g_per_100g: float | None
    edible_share: float | None
    source: str
    status: str

    @property
    def meat(self) -> Meat | None:
        """As the sums take it."""
        if self.kcal_per_100g is None:
            return None
        return Meat(self.kcal_per_100g, self.protein_g_per_100g)


FoodTable = Mapping[str, FoodRow]


@cache
def shipped() -> FoodTable:
    """The rows that come with the program (food.yaml)."""
    text = files("trapline.kept").joinpath("food.yaml").read_text(encoding="utf-8")
    rows = (
        FoodRow(
            one["species"], one["kcal"], one["protein"], one["share"], one["source"], one["status"]
        )
        for one in yaml.safe_load(text)
    )
    return {row.species: row for row in rows}


def food_table(team: UUID) -> FoodTable:
    """The table as the team has it. One statement."""
    table = dict(shipped())
    for own in FoodValue.objects.filter(team_id=team):
        table[own.species_code] = FoodRow(
            own.species_code, own.kcal_per_100g, own.protein_g_per_100g, own.edible_share,
            own.source, FitSource.TEAM,
        )  # fmt: skip
    return table


@dataclass(frozen=True)
class Eaten:
    """What somebody ate or got of a species. `helping` None: the table has no raw figure."""

    use: str
    eater: str
    member: UUID | None
    species_code: str
    species: str
    kg: float
    animals: int
    helping: Helping | None


@dataclass(frozen=True)
class Eater:
    """One member or household, with all they ate and got. `unknown`: species without a figure."""

    name: str
    member: UUID | None
    rows: tuple[Eaten, ...]
    together: Helping
    unknown: tuple[str, ...]


@dataclass(frozen=True)
class SpeciesMeat:
    """Meat of a species' animals taken. `reckoned_kg`: of fit ones not weighed, by the table's

    share; None where the table has none. `unweighed`: fit, without any weight.
    """

    code: str
    species: str
    taken: int
    fit: int
    unfit: int
    unjudged: int
    weighed_kg: float
    reckoned_kg: float | None
    unweighed: int
    eaten_kg: float
    given_kg: float
    other_kg: float

    @property
    def went_kg(self) -> float:
        """Eaten or given."""
        return self.eaten_kg + self.given_kg


@dataclass(frozen=True)
class Food:
    """The food of some days."""

    eaters: tuple[Eater, ...]
    species: tuple[SpeciesMeat, ...]
    lost_kg: float
    eaten: Helping
    unknown: tuple[str, ...]


def food(
    team: UUID, member: UUID | None, table: FoodTable, *, first: date | None, last: date | None
) -> Food:
    """What was fit and who ate it, of animals found in these days. Two statements.

    member: of their own animals, and what they ate.
    """
    values = {"team": team, "member": member, "first": first, "last": last}
    rows = [_eaten(table, *row) for row in _over_days("eaten", values)]
    went = [one for one in rows if one.use in ("eaten", "given")]
    eaters = _by_eater(went)
    meat = [_meat(table, *row) for row in _over_days("meat", values)]
    known = [one.helping for one in went if one.helping is not None]
    unknown = sorted({one.species for one in went if one.helping is None})
    lost = sum(one.kg for one in rows if one.use not in ("eaten", "given"))
    return Food(tuple(eaters), tuple(meat), lost, together(known), tuple(unknown))


def _over_days(name: str, values: dict[str, Any]) -> list[tuple[Any, ...]]:
    return sql.rows("trapline.kept", name, values, kept=False)


def _eaten(
    table: FoodTable, use: str, eater: str, member: UUID | None, code: str, species: str, kg: float,
    animals: int,
) -> Eaten:  # fmt: skip
    row = table.get(code)
    meat = None if row is None else row.meat
    return Eaten(
        use, eater, member, code, species, kg, animals,
        None if meat is None else helping(meat, kg),
    )  # fmt: skip


def _by_eater(rows: list[Eaten]) -> list[Eater]:
    groups: dict[tuple[str, UUID | None], list[Eaten]] = {}
    for one in rows:
        groups.setdefault((one.eater, one.member), []).append(one)
    return [
        Eater(
            name, member, tuple(theirs),
            together([one.helping for one in theirs if one.helping is not None]),
            tuple(sorted({one.species for one in theirs if one.helping is None})),
        )
        for (name, member), theirs in groups.items()
    ]  # fmt: skip


def _meat(
    table: FoodTable, code: str, species: str, taken: int, fit: int, unfit: int, unjudged: int,
    weighed: float, live: float, unweighed: int, eaten: float, given: float, other: float,
) -> SpeciesMeat:  # fmt: skip
    row = table.get(code)
    share = None if row is None else row.edible_share
    reckoned = 0.0 if not live else None if share is None else live * share
    return SpeciesMeat(
        code, species, taken, fit, unfit, unjudged, weighed, reckoned, unweighed, eaten, given,
        other,
    )  # fmt: skip


@dataclass(frozen=True)
class Rounds:
    """Rounds of one way of travel. `path_m`: of the lines whose path is drawn, each as often as it

    was walked; `drawn`: of how many rounds.
    """

    travel: str
    rounds: int
    looks: int
    path_m: float
    drawn: int


def rounds_of(
    team: UUID, member: UUID | None, *, first: date | None, last: date | None
) -> list[Rounds]:
    """Rounds by way of travel. One statement."""
    values = {"team": team, "member": member, "first": first, "last": last}
    return [Rounds(*row) for row in _over_days("rounds", values)]
