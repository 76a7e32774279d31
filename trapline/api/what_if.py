"""What if: the findings of an altered world. A POST for its body's sake; it writes nothing."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from pydantic import BaseModel, ConfigDict, Field, ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.base import TeamView
from trapline.api.rules import LEADS
from trapline.ground import clock
from trapline.ground.errors import Problem, Refused
from trapline.land.selectors import permissions
from trapline.people.selectors import members_in_office
from trapline.plans.mending import Deed, How
from trapline.plans.what_if import Answer, Supposed, what_if
from trapline.record.envelope import Moment, problems_of
from trapline.rulebook.schema import read_document
from trapline.rulebook.selectors import species_cards
from trapline.wording.finding_words import species_of, told


class WhatIfAsked(BaseModel):
    """What is supposed; at least one thing."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)

    at: Moment | None = Field(None, description="From when; now, if not said.")
    closes: list[str] = Field([], max_length=200, description="Codes of species.")
    snow_m: Annotated[float, Field(ge=0, le=10, description="Fresh snow.")] = 0.0
    water_m: Annotated[
        float, Field(ge=-100, le=100, description="How much higher the water stands.")
    ] = 0.0
    away: list[UUID] = Field([], max_length=200, description="Members.")
    lapsed: list[UUID] = Field([], max_length=200, description="Permissions.")
    document: dict[str, Any] | None = Field(None, description="A rulebook, as it is taken in.")


class TurnSaid(BaseModel):
    """What comes to be wrong. numbers as in findings; deed: what mends it alone."""

    code: str
    discriminator: str
    severity: str
    how: How
    deed: Deed
    title: str
    sentence: str
    remedy: str
    numbers: dict[str, Any]
    rule_code: str | None


class SetSaid(BaseModel):
    """A set that turns. amount_m: how far to rehang (down below 0) or deepen."""

    set: UUID
    label: str
    line: UUID
    hows: list[How]
    turns: list[TurnSaid]
    deeds: list[Deed]
    amount_m: float | None
    due_at: datetime | None


class DeedsSaid(BaseModel):
    """So many sets to do this at."""

    deed: Deed
    sets: int


class WorkSaid(BaseModel):
    """What is to be done on a line, and whether anybody has to walk there."""

    line: UUID
    name: str
    deeds: list[DeedsSaid]
    walk: bool
    first_due_at: datetime | None


class SoonerSaid(BaseModel):
    """A check that falls due sooner. was: null for never."""

    set: UUID
    was: datetime | None
    due_at: datetime


class CoverSaid(BaseModel):
    """Who could look after which of the sets that are uncovered."""

    member: UUID
    sets: list[UUID]


class WhatIfSaid(BaseModel):
    """Everything that turns, worst first, as of `moment`; of `looked` sets that stand.

    uncovered: nobody who was asked could take them. mended: findings that it would close.
    """

    moment: datetime
    looked: int
    sets: list[SetSaid]
    work: list[WorkSaid]
    sooner: list[SoonerSaid]
    covers: list[CoverSaid]
    uncovered: list[UUID]
    mended: int


class WhatIf(TeamView):
    """What if the season closed, snow fell, the water dropped, somebody were away?"""

    rules = {"POST": LEADS}

    @extend_schema(request=WhatIfAsked, responses=WhatIfSaid)
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Which sets would turn unlawful, buried, dry or uncovered, and the least work that

        mends it. Nothing is written. Snow and water are estimates: measure at the set.
        """
        team, species = self.actor.team, _Names(self.actor.team)
        found = what_if(team, _supposed(request.data, team, species))
        return Response(_said(found, species.by_code).model_dump(mode="json"))


class _Names:
    """What the body may name. Each list is read only when it is asked for."""

    def __init__(self, team: UUID) -> None:
        self.by_code = {one.code: one.name for one in species_cards(team)}

    def look(self, field: str, said: list[Any], known: set[Any]) -> None:
        wrong = [number for number, one in enumerate(said) if one not in known]
        if wrong:
            raise Refused(*(Problem(f"{field}.{number}", "not_in_team") for number in wrong))


def _supposed(data: Any, team: UUID, names: _Names) -> Supposed:
    if not isinstance(data, dict):
        raise Refused(Problem("body", "json_not_object"))
    try:
        asked = WhatIfAsked.model_validate(data)
    except ValidationError as error:
        raise problems_of(error) from None
    names.look("closes", asked.closes, set(names.by_code))
    if asked.away:
        names.look("away", asked.away, {one.id for one in members_in_office(team)})
    if asked.lapsed:
        names.look("lapsed", asked.lapsed, {one.id for one in permissions(team, None)})
    supposed = Supposed(
        moment=asked.at or clock.now(),
        closes=frozenset(asked.closes),
        snow_m=asked.snow_m,
        water_m=asked.water_m,
        away=frozenset(asked.away),
        lapsed=frozenset(asked.lapsed),
        draft=None if asked.document is None else read_document(asked.document),
    )
    if supposed.nothing:
        raise Refused(Problem("body", "nothing_supposed"))
    return supposed


def _said(found: Answer, species: dict[str, str]) -> WhatIfSaid:
    rules = found.rules
    codes = dict(zip(rules.ids, rules.codes, strict=True)) if rules is not None else {}
    return WhatIfSaid(
        moment=found.moment,
        looked=found.looked,
        sets=[
            SetSaid(
                set=row.place.set, label=row.place.label, line=row.place.line,
                hows=list(row.hows), deeds=list(row.deeds), amount_m=row.amount_m,
                due_at=row.due_at,
                turns=[_turn(one, codes, species) for one in row.turns],
            )
            for row in found.sets
        ],
        work=[
            WorkSaid(
                line=one.line, name=one.name, walk=one.walk, first_due_at=one.first_due_at,
                deeds=[DeedsSaid(deed=deed, sets=count) for deed, count in one.deeds],
            )
            for one in found.work
        ],
        sooner=[
            SoonerSaid(set=one.place.set, was=one.was, due_at=one.due_at) for one in found.sooner
        ],
        covers=[CoverSaid(member=one.member, sets=list(one.sets)) for one in found.covers],
        uncovered=list(found.alone),
        mended=found.mended,
    )  # fmt: skip


def _turn(turn: Any, codes: dict[UUID, str], species: dict[str, str]) -> TurnSaid:
    one = turn.one
    name = species.get(species_of(one.discriminator, one.numbers))
    said = told(one.code, one.discriminator, one.numbers, species=name)
    return TurnSaid(
        code=one.code, discriminator=one.discriminator, severity=one.severity,
        how=turn.how, deed=turn.deed, title=said.title, sentence=said.sentence,
        remedy=said.remedy, numbers=one.numbers,
        rule_code=codes.get(one.rule) if one.rule else None,
    )  # fmt: skip
