"""What an animal gives to eat, and what a round gives after its own cost.

Lean meat alone does not keep a person: protein's share of the energy stands beside every
figure. From memory, no source beside it: intakes above about 35 % of energy as protein are not
kept up for long.
"""

from __future__ import annotations

from dataclasses import dataclass

# Energy per gram of meat's protein and fat in the food tables of the United States (Merrill and
# Watt 1973, USDA Agriculture Handbook 74; from memory). They give back the tabled 120 kcal of
# raw squirrel from its 21.23 g and 3.21 g.
KCAL_PER_G_PROTEIN = 4.27
KCAL_PER_G_FAT = 9.02
LEAN = 0.35


@dataclass(frozen=True)
class Meat:
    """Edible meat per 100 g, raw."""

    kcal: float
    protein_g: float | None = None


@dataclass(frozen=True)
class Helping:
    """What was eaten: energy, and protein's share of it where the table knows protein."""

    kg: float
    kcal: float
    protein_share: float | None

    @property
    def lean(self) -> bool:
        """Too lean to live on alone, or nobody knows."""
        return self.protein_share is None or self.protein_share > LEAN


def helping(meat: Meat, edible_kg: float) -> Helping:
    """The energy of edible meat of a kind."""
    if not edible_kg >= 0:
        raise ValueError("edible_kg: 0 or more is needed")
    if not meat.kcal > 0:
        raise ValueError("kcal: more than 0 is needed")
    share = None
    if meat.protein_g is not None:
        share = meat.protein_g * KCAL_PER_G_PROTEIN / meat.kcal
    return Helping(edible_kg, meat.kcal * 10 * edible_kg, share)


def together(helpings: list[Helping]) -> Helping:
    """Several as one; protein's share is None as soon as one is unknown."""
    kcal = sum(one.kcal for one in helpings)
    protein = 0.0
    known = kcal > 0
    for one in helpings:
        if one.kcal and one.protein_share is None:
            known = False
        protein += (one.protein_share or 0.0) * one.kcal
    return Helping(sum(one.kg for one in helpings), kcal, protein / kcal if known else None)


@dataclass(frozen=True)
class Net:
    """Energy gained less energy spent above rest, and that per hour worked."""

    kcal: float
    kcal_per_hour: float | None


def net(gained_kcal: float, spent_kcal: float, hours: float) -> Net:
    """The balance of a season's or a round's food."""
    if not hours >= 0:
        raise ValueError("hours: 0 or more is needed")
    left = gained_kcal - spent_kcal
    return Net(left, left / hours if hours else None)
