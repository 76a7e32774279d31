"""Food: the table of what meat gives, and who ate what."""

import datetime
from dataclasses import asdict
from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from pydantic import BaseModel
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.acting import act_schema, take_act
from trapline.api.animals import DAYS, Asked
from trapline.api.base import TeamView
from trapline.api.rules import ANYONE_IN_TEAM, LEADS
from trapline.findings.models import FitSource
from trapline.kept.food import food, food_table
from trapline.record.meat import SetFoodValue
from trapline.reports.period import Period


class FoodRowShown(serializers.Serializer[Any]):
    """A row of the food table: raw, boned meat."""

    species = serializers.CharField()
    kcal_per_100g = serializers.FloatField(allow_null=True)
    protein_g_per_100g = serializers.FloatField(allow_null=True)
    edible_share = serializers.FloatField(allow_null=True)
    source = serializers.CharField()  # type: ignore[assignment]
    status = serializers.ChoiceField(FitSource.choices)


class FoodTable(TeamView):
    """What 100 g of a species' raw meat give, each row with its source."""

    rules = {"GET": ANYONE_IN_TEAM, "PUT": LEADS}

    @extend_schema(responses=FoodRowShown(many=True))
    def get(self, request: Request, **kwargs: Any) -> Response:
        table = food_table(self.actor.team)
        rows = sorted(table.values(), key=lambda one: one.species)
        return Response(FoodRowShown(rows, many=True).data)

    @act_schema(SetFoodValue)
    def put(self, request: Request, **kwargs: Any) -> Response:
        """Say one row anew, as the team has it."""
        return take_act(self, "set_food_value")


class EatenSaid(BaseModel):
    """What somebody ate or got of a species; `kcal` null: the table has no raw figure."""

    eater: str
    member: UUID | None
    use: str
    species: str
    kg: float
    animals: int
    kcal: float | None
    protein_share: float | None


class SpeciesMeatSaid(BaseModel):
    """Meat of a species' animals taken."""

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


class FoodSaid(BaseModel):
    """Of animals found in these days. Lean meat alone does not keep a person."""

    first: datetime.date | None
    last: datetime.date | None
    eaten: list[EatenSaid]
    species: list[SpeciesMeatSaid]
    kcal: float
    protein_share: float | None
    without_figure: list[str]


class Food(Asked):
    """Who ate what. A member sees their own animals and what they ate."""

    rules = {"GET": ANYONE_IN_TEAM}

    def known_parameters(self) -> set[str]:
        return {"first", "last"}

    @extend_schema(parameters=DAYS, responses=FoodSaid)
    def get(self, request: Request, **kwargs: Any) -> Response:
        asked = self.asked(request)
        days = Period(asked.first, asked.last)
        table = food_table(self.actor.team)
        told = food(self.actor.team, self.own, table, first=days.first, last=days.last)
        eaten = [
            EatenSaid(
                eater=row.eater, member=row.member, use=row.use, species=row.species_code,
                kg=row.kg, animals=row.animals,
                kcal=None if row.helping is None else row.helping.kcal,
                protein_share=None if row.helping is None else row.helping.protein_share,
            )
            for one in told.eaters
            for row in one.rows
        ]  # fmt: skip
        said = FoodSaid(
            first=days.first, last=days.last, eaten=eaten,
            species=[SpeciesMeatSaid.model_validate(asdict(one)) for one in told.species],
            kcal=told.eaten.kcal, protein_share=told.eaten.protein_share,
            without_figure=list(told.unknown),
        )  # fmt: skip
        return Response(said.model_dump(mode="json"))
