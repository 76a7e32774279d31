"""Meat: fit for food or not and why, who ate it; the team's rows of the food table."""

from typing import Annotated
from uuid import UUID

from pydantic import Field, StringConstraints

from trapline.ground.errors import Held, NeedsReview
from trapline.kept.models import FoodValue, MeatJudged, Portion
from trapline.kept.words import MeatUse, Organs
from trapline.people.models import Membership
from trapline.record.acting import Body, Desk, Kind
from trapline.record.finding_acts import Code
from trapline.record.kept_animals import taken_animals
from trapline.record.pelts import Short

Kg = Annotated[float, Field(gt=0, le=1000)]
SCALE_KG = 0.05  # a kitchen scale's word against the sum of its portions


class JudgeMeat(Body):
    """Whether an animal is fit for food. Fit only where the organs were looked at and sound.

    `edible_kg`: raw and boned, on the scale.
    """

    animal: UUID
    fit: bool
    organs: Organs
    why: Annotated[str, StringConstraints(strip_whitespace=True, max_length=2000)] = ""
    edible_kg: Kg | None = None


def judge(desk: Desk, body: JudgeMeat) -> None:
    if body.fit and body.organs != Organs.SOUND:
        raise NeedsReview("organs", "meat_organs")
    if not body.fit and not body.why:
        raise NeedsReview("why", "meat_why")
    (one,) = taken_animals(desk, [body.animal], "animal")
    most = one.weight_kg
    if body.edible_kg is not None and most is not None and body.edible_kg > most:
        raise NeedsReview("edible_kg", "meat_more_than_animal", kg=most)
    MeatJudged.objects.create(**desk.written(), by_id=desk.actor.member, **body.model_dump())


class ShareMeat(Body):
    """Meat of an animal that went: to a member, or to whoever is none, by name; raw weight."""

    animal: UUID
    use: MeatUse
    kg: Kg
    member: UUID | None = None
    household: Short = ""


def share(desk: Desk, body: ShareMeat) -> None:
    to_somebody = body.use in (MeatUse.EATEN, MeatUse.GIVEN)
    if body.member is not None and body.household:
        raise NeedsReview("household", "meat_one_eater")
    if to_somebody and body.member is None and not body.household:
        raise NeedsReview("member", "meat_by_nobody")
    (one,) = taken_animals(desk, [body.animal], "animal")
    if to_somebody and not one.fit:
        raise NeedsReview("animal", "meat_not_fit", number=one.number)
    if body.member and not Membership.objects.filter(id=body.member).exists():
        raise Held("member", body.member)
    if one.edible_kg is not None and one.used_kg + body.kg > one.edible_kg + SCALE_KG:
        left = max(round(one.edible_kg - one.used_kg, 2), 0)
        raise NeedsReview("kg", "meat_more_than_edible", kg=left)
    Portion.objects.create(
        **desk.written(), by_id=desk.actor.member, animal=one.animal, use=body.use, kg=body.kg,
        member_id=body.member, household=body.household,
    )  # fmt: skip


class SetFoodValue(Body):
    """A row of the food table as the team has it. Without a figure nothing is said."""

    species: Code
    kcal_per_100g: Annotated[float, Field(gt=0, le=900)] | None = None
    protein_g_per_100g: Annotated[float, Field(ge=0, le=100)] | None = None
    edible_share: Annotated[float, Field(gt=0, lt=1)] | None = None
    source: Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=400)]


def set_food_value(desk: Desk, body: SetFoodValue) -> None:
    if not desk.actor.leads:
        raise NeedsReview("species", "only_leaders", what="set_food_value")
    values = body.model_dump(exclude={"species"}) | {"act_id": desk.act}
    FoodValue.objects.update_or_create(
        team_id=desk.team, species_code=body.species, defaults=values
    )


KINDS = (
    Kind("judge_meat", {1: JudgeMeat}, judge),
    Kind("share_meat", {1: ShareMeat}, share),
    Kind("set_food_value", {1: SetFoodValue}, set_food_value),
)
