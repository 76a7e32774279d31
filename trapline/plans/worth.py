"""What a load is for: catches of one species, food energy with protein's share, or pelt value."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from trapline.calc.food import KCAL_PER_G_PROTEIN, Helping, together
from trapline.ground import sql
from trapline.plans.carrying import Carrying

CATCHES, ENERGY, VALUE = "catches", "energy", "value"


@dataclass(frozen=True)
class Worth:
    """One animal of a species as the team's own record has it; None where it does not say.

    kcal: of its meat; protein_share: of that energy, 0 to 1; pelt: mean price, in `currency`.
    """

    kcal: float | None
    protein_share: float | None
    pelt: float | None
    currency: str


def worths(team: UUID) -> dict[UUID, Worth]:
    """Of each species of the team. One statement."""
    found = {}
    for species, kcal, protein_g, per_100g, pelt, currency in sql.rows(
        "trapline.plans", "worth", {"team": team}
    ):
        share = protein_g * KCAL_PER_G_PROTEIN / per_100g if protein_g and per_100g else None
        found[species] = Worth(kcal, share, pelt, currency)
    return found


def protein_share(
    found: Carrying, kcal: Mapping[UUID, float], shares: Mapping[UUID, float | None]
) -> float | None:
    """Protein's share of the energy that a plan may bring; None as soon as one is unknown.

    kcal: of one animal of each species; shares: protein's share of it, 0 to 1.
    """
    helpings = [
        Helping(0.0, float(catches) * kcal.get(species, 0.0), shares.get(species))
        for one in found.answer.plan.carried
        for species, catches in zip(found.species, one.catches, strict=True)
        if catches > 0 and kcal.get(species)
    ]
    return together(helpings).protein_share if helpings else None
