"""Animals after the catch: where each is, its pelt, its meat, its samples."""

import datetime
from dataclasses import asdict
from decimal import Decimal
from typing import Any
from uuid import UUID

from drf_spectacular.utils import OpenApiParameter, extend_schema
from pydantic import BaseModel, ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.acting import act_schema, take_act
from trapline.api.base import TeamView
from trapline.api.rules import ANYONE_IN_TEAM
from trapline.kept.samples import samples_of
from trapline.kept.selectors import MOST, KeptAnimal, access_animal, history_of, kept_animals
from trapline.kept.selectors import account as account_of
from trapline.kept.words import Place
from trapline.record.envelope import problems_of
from trapline.record.meat import JudgeMeat, ShareMeat
from trapline.record.pelts import MovePelts
from trapline.record.samples import HandInSamples, TakeBack, TakeSample
from trapline.reports.period import Period


class PlaceAsked(BaseModel, extra="forbid"):
    """Local days, both in it, and a place; left out: all."""

    first: datetime.date | None = None
    last: datetime.date | None = None
    place: Place | None = None


class AnimalSaid(BaseModel):
    """An animal in effect and where it is. Weights in kg; `pelt` empty: nothing said yet."""

    animal: UUID
    catch: UUID
    species_code: str
    species: str
    on: datetime.date
    at: datetime.datetime
    tz: str
    sex: str
    age: str
    fate: str
    licence: str
    site_tag: str
    seal: str
    place: str
    pelt: str
    pelt_place: str
    grade: str
    pelt_to: str
    price: Decimal | None
    currency: str
    fit: bool | None
    edible_kg: float | None
    eaten_kg: float
    given_kg: float
    other_kg: float


class AnimalsSaid(BaseModel):
    """The newest 300."""

    animals: list[AnimalSaid]


class EntrySaid(BaseModel):
    """One entry. `undone`: why it was taken back; empty while it counts."""

    what: str
    id: UUID
    at: datetime.datetime
    by: str
    state: str
    kg: float | None
    said: str
    price: Decimal | None
    currency: str
    undone: str
    undone_by: str


class AnimalOneSaid(AnimalSaid):
    """The same with its history."""

    entries: list[EntrySaid]


class SpeciesAccountSaid(BaseModel):
    """How many of a species are where; `in_room`: by the state of the pelt."""

    species: str
    name: str
    animals: int
    at_place: dict[str, int]
    in_room: dict[str, int]


class AccountSaid(BaseModel):
    """It balances when `difference` is 0."""

    animals: int
    difference: int
    unsaid: int
    twice: int
    against_record: int
    without_catch: list[UUID]
    species: list[SpeciesAccountSaid]
    sold: dict[str, Decimal]


class SampleSaid(BaseModel):
    """A sample; `handed_at` null: still here."""

    id: UUID
    animal: UUID
    what: str
    label: str
    at: datetime.datetime
    by: str
    handed_at: datetime.datetime | None
    to: str | None
    reference: str | None


class SamplesSaid(BaseModel):
    """Those not handed in first; at most 300."""

    samples: list[SampleSaid]


DAYS = [
    OpenApiParameter("first", datetime.date, description="First local day; open if not said."),
    OpenApiParameter("last", datetime.date, description="Last local day, in it."),
]


def _shown(one: KeptAnimal) -> dict[str, Any]:
    return AnimalSaid.model_validate(asdict(one)).model_dump(mode="json")


class Asked(TeamView):
    """A view that is asked by days and place."""

    def asked(self, request: Request) -> PlaceAsked:
        try:
            return PlaceAsked.model_validate_strings(request.query_params.dict())
        except ValidationError as error:
            raise problems_of(error) from None


class Animals(Asked):
    """Animals, the newest 300. A member sees those they caught or whose licence they hold."""

    rules = {"GET": ANYONE_IN_TEAM}

    def known_parameters(self) -> set[str]:
        return set(PlaceAsked.model_fields)

    @extend_schema(
        parameters=[*DAYS, OpenApiParameter("place", str, enum=Place.values)],
        responses=AnimalsSaid,
    )
    def get(self, request: Request, **kwargs: Any) -> Response:
        asked = self.asked(request)
        days = Period(asked.first, asked.last)
        found = kept_animals(
            self.actor.team, self.own, first=days.first, last=days.last,
            places=None if asked.place is None else [asked.place], most=MOST,
        )  # fmt: skip
        return Response({"animals": [_shown(one) for one in found]})


class AnimalAccount(Asked):
    """Where every animal is, as an account."""

    rules = {"GET": ANYONE_IN_TEAM}

    def known_parameters(self) -> set[str]:
        return {"first", "last"}

    @extend_schema(parameters=DAYS, responses=AccountSaid)
    def get(self, request: Request, **kwargs: Any) -> Response:
        asked = self.asked(request)
        days = Period(asked.first, asked.last)
        told = account_of(self.actor.team, self.own, first=days.first, last=days.last)
        species = [
            SpeciesAccountSaid(
                species=one.code, name=one.name, animals=one.animals, at_place=one.at_place,
                in_room=one.of_pelt,
            )
            for one in told.species
        ]  # fmt: skip
        said = AccountSaid(
            animals=told.animals, difference=told.difference, unsaid=told.total(Place.UNSAID),
            twice=told.twice, against_record=told.against,
            without_catch=[one.animal for one in told.strays], species=species, sold=told.sold,
        )  # fmt: skip
        return Response(said.model_dump(mode="json"))


class Animal(TeamView):
    """One animal under its one number, with all that was entered since its catch."""

    rules = {"GET": ANYONE_IN_TEAM}

    @extend_schema(responses=AnimalOneSaid)
    def get(self, request: Request, **kwargs: Any) -> Response:
        one = access_animal(self.actor.team, kwargs["id"], self.own)
        entries = history_of(self.actor.team, one.animal)
        shown = [EntrySaid.model_validate(asdict(entry)).model_dump(mode="json")
                 for entry in entries]  # fmt: skip
        return Response(_shown(one) | {"entries": shown})


class AnimalPelts(TeamView):
    """Pelts that are so far now, or went there."""

    rules = {"POST": ANYONE_IN_TEAM}

    @act_schema(MovePelts)
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Move one or many on. A pelt goes forward only; a mistake is taken back."""
        return take_act(self, "move_pelts")


class AnimalMeat(TeamView):
    """Whether an animal is fit for food."""

    rules = {"POST": ANYONE_IN_TEAM}

    @act_schema(JudgeMeat, given=("animal",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Say whether it is fit, and why not."""
        return take_act(self, "judge_meat", given={"animal": kwargs["id"]})


class AnimalPortions(TeamView):
    """Who ate it."""

    rules = {"POST": ANYONE_IN_TEAM}

    @act_schema(ShareMeat, given=("animal",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Say what became of some of its meat."""
        return take_act(self, "share_meat", given={"animal": kwargs["id"]})


class AnimalSamples(TeamView):
    """A sample of an animal."""

    rules = {"POST": ANYONE_IN_TEAM}

    @act_schema(TakeSample, made="sample", given=("animal",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Take a sample under the label on it."""
        return take_act(self, "take_sample", made="sample", given={"animal": kwargs["id"]})


class AnimalsTakeBack(TeamView):
    """An entry that was a mistake."""

    rules = {"POST": ANYONE_IN_TEAM}

    @act_schema(TakeBack)
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Take it back with a reason. It stays to be read."""
        return take_act(self, "take_back")


class Samples(TeamView):
    """Samples, those not handed in first; at most 300."""

    rules = {"GET": ANYONE_IN_TEAM}

    @extend_schema(responses=SamplesSaid)
    def get(self, request: Request, **kwargs: Any) -> Response:
        found = samples_of(self.actor.team, self.own)
        rows = [SampleSaid.model_validate(asdict(one)).model_dump(mode="json") for one in found]
        return Response({"samples": rows})


class SamplesHandIn(TeamView):
    """Samples that went to whoever asked for them."""

    rules = {"POST": ANYONE_IN_TEAM}

    @act_schema(HandInSamples)
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Hand one or many in."""
        return take_act(self, "hand_in_samples")
