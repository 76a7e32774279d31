"""Reports: the harvest by licence and the yield table, as JSON or CSV (`?format=csv`)."""

import datetime
from typing import Any
from uuid import UUID

from drf_spectacular.utils import OpenApiParameter, extend_schema
from pydantic import BaseModel, ValidationError
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.base import TeamView
from trapline.api.rules import ANYONE_IN_TEAM
from trapline.ground.clock import now
from trapline.ground.errors import Problem, Refused
from trapline.record.envelope import problems_of
from trapline.reports.files import harvest_csv, harvest_json, yields_csv, yields_json
from trapline.reports.harvest import Animal, SpeciesTotal, harvest
from trapline.reports.period import Period
from trapline.reports.yields import yields


class Csv(BaseRenderer):
    """RFC 4180, UTF-8; what the view hands it is the text."""

    media_type = "text/csv"
    format = "csv"
    charset = "utf-8"

    def render(self, data: Any, media_type: Any = None, context: Any = None) -> bytes:
        return str(data).encode()


class DaysAsked(BaseModel, extra="forbid"):
    """The local days a report is about, both in it."""

    first: datetime.date | None = None
    last: datetime.date | None = None
    mark: bool = False
    format: str = ""

    @property
    def period(self) -> Period:
        return Period(self.first, self.last)


class LicenceAsked(DaysAsked):
    """The same, of one licence or all."""

    licence: UUID | None = None


class PeriodSaid(BaseModel):
    """Null: open on that side."""

    first: datetime.date | None
    last: datetime.date | None


class LicenceSaid(BaseModel):
    """What is reported under one licence."""

    licence: str
    authority: str
    holder: str
    nil: bool
    animals: list[Animal]
    totals: list[SpeciesTotal]


class HarvestSaid(BaseModel):
    """Every animal in effect, by the licence it counts against; the totals are only a sum."""

    period: PeriodSaid
    licences: list[LicenceSaid]
    totals: list[SpeciesTotal]


class MemberSaid(BaseModel):
    """A member's row: check duties that were theirs, and the looks they took themselves."""

    member: str
    role: str
    checks_in_time: int
    checks_asked: int
    hours_possibly_held_median: float | None
    hours_possibly_held_most: float | None
    non_targets: int
    looks: int
    trap_nights: float
    targets: int
    per_100_trap_nights: float | None
    per_100_lower: float | None
    per_100_upper: float | None
    figure: str


class YieldsSaid(BaseModel):
    """The members by name, never by catch."""

    period: PeriodSaid
    members: list[MemberSaid]


_DAYS = [
    OpenApiParameter("first", datetime.date, description="First local day; open if not said."),
    OpenApiParameter("last", datetime.date, description="Last local day, in it."),
    OpenApiParameter("mark", bool, description="CSV that begins with U+FEFF, for spreadsheets."),
]


class Report(TeamView):
    """A report: JSON, or CSV by `?format=csv` or `Accept: text/csv`."""

    renderer_classes = [JSONRenderer, Csv]

    def known_parameters(self) -> set[str]:
        return {*LicenceAsked.model_fields}  # `asked` refuses what one report does not take

    def asked(self, request: Request, form: type[DaysAsked]) -> Any:
        said = request.query_params.dict()
        for name in said:
            if name not in form.model_fields:
                filters = sorted(form.model_fields)
                raise Refused(Problem(name, "no_such_filter", {"filters": filters}))
        try:
            return form.model_validate_strings(said)
        except ValidationError as error:
            raise problems_of(error) from None

    def wants_csv(self, request: Request) -> bool:
        return bool(request.accepted_renderer.format == Csv.format)


class HarvestReport(Report):
    """The harvest. A member sees that of licences they hold."""

    rules = {"GET": ANYONE_IN_TEAM}

    @extend_schema(
        parameters=[*_DAYS, OpenApiParameter("licence", UUID)],
        responses={(200, "application/json"): HarvestSaid, (200, "text/csv"): str},
    )
    def get(self, request: Request, **kwargs: Any) -> Response:
        asked: LicenceAsked = self.asked(request, LicenceAsked)
        found = harvest(self.actor.team, asked.period, licence=asked.licence, holder=self.own)
        if self.wants_csv(request):
            return Response("".join(harvest_csv(found, bom=asked.mark)))
        return Response(harvest_json(found))


class YieldReport(Report):
    """The yield table, by name. A member sees their own row."""

    rules = {"GET": ANYONE_IN_TEAM}

    @extend_schema(
        parameters=_DAYS,
        responses={(200, "application/json"): YieldsSaid, (200, "text/csv"): str},
    )
    def get(self, request: Request, **kwargs: Any) -> Response:
        asked: DaysAsked = self.asked(request, DaysAsked)
        rows = yields(self.actor.team, asked.period, now(), member=self.own)
        if self.wants_csv(request):
            return Response("".join(yields_csv(rows, bom=asked.mark)))
        return Response(yields_json(rows, asked.period))
