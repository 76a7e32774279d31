"""Sets from a GPX or CSV file: a dry run, then its acts sent back. Sets as GPX and GeoJSON."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.parsers import MultiPartParser
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.base import TeamView
from trapline.api.problems import told
from trapline.api.rules import ANYONE_IN_TEAM, LEADS
from trapline.api.shown import ProblemTold
from trapline.duties.files import sets_out
from trapline.ground import clock
from trapline.ground.errors import Problem, Refused
from trapline.ground.files import MOST_BYTES
from trapline.lines.formats import geojson_out, gpx_out
from trapline.lines.formats.reading import read_file
from trapline.lines.words import Placement
from trapline.record.import_sets import ActsSaid, Defaults, Planned, dry_run, place, planned_acts


class Upload(MultiPartParser):
    """A file with its form, of a size that is known before it is read."""

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        length = int(parser_context["request"].META.get("CONTENT_LENGTH") or 0)
        if length > MOST_BYTES + 65_536:
            raise Refused(Problem("file", "too_large", {"most": MOST_BYTES}))
        return super().parse(stream, media_type, parser_context)


class FileSaid(serializers.Serializer[Any]):
    """A file of sets, and what is to be said for rows that do not say it themselves."""

    file = serializers.FileField(help_text="GPX 1.1 (.gpx) or CSV (.csv), at most 2 MB, 500 sets.")
    line = serializers.UUIDField(required=False)
    licence = serializers.UUIDField(required=False)
    responsible = serializers.UUIDField(required=False)
    placement = serializers.ChoiceField(choices=Placement.choices, required=False)
    targets = serializers.ListField(child=serializers.UUIDField(), required=False, max_length=20)
    device_kind = serializers.UUIDField(
        required=False, help_text="Rows that name no device get the free ones of this kind."
    )
    at = serializers.DateTimeField(
        required=False, help_text="When they were placed, if a row says no time."
    )


class ActShown(serializers.Serializer[Any]):
    """A set as it would be placed."""

    act = serializers.UUIDField()
    at = serializers.DateTimeField()
    body = serializers.DictField()


class PlannedShown(serializers.Serializer[Any]):
    """What would become of the row at a line of the file: its act, or what is wrong."""

    line_no = serializers.IntegerField()
    label = serializers.CharField(allow_blank=True)  # type: ignore[assignment]
    act = ActShown(allow_null=True)
    problems = ProblemTold(many=True)


class DryRunShown(serializers.Serializer[Any]):
    """Every row of the file. Nothing was written."""

    rows = PlannedShown(many=True)


class PlacedShown(serializers.Serializer[Any]):
    """What became of an act: applied, known, conflict or refused."""

    act = serializers.UUIDField()
    state = serializers.CharField()
    problems = ProblemTold(many=True)


class PlacedAllShown(serializers.Serializer[Any]):
    """One answer for each act, in their order."""

    acts = PlacedShown(many=True)


class Imports(TeamView):
    """What a file would place, row by row, with the reason for each refusal. Nothing is written."""

    rules = {"POST": LEADS}
    parser_classes = [Upload]

    @extend_schema(request={"multipart/form-data": FileSaid}, responses=DryRunShown)
    def post(self, request: Request, **kwargs: Any) -> Response:
        said = FileSaid(data=request.data)
        said.is_valid(raise_exception=True)
        values = dict(said.validated_data)
        file = values.pop("file")
        rows = read_file(str(file.name), file.read(MOST_BYTES + 1))
        values["targets"] = tuple(values.get("targets", ()))
        planned = dry_run(self.actor, rows, Defaults(**values), now=clock.now())
        return Response(DryRunShown({"rows": [shown(one) for one in planned]}).data)


class ImportCommit(TeamView):
    """Place the sets of a dry run, each in its own transaction. Sent twice, it places them once."""

    rules = {"POST": LEADS}

    @extend_schema(request=ActsSaid, responses=PlacedAllShown)
    def post(self, request: Request, **kwargs: Any) -> Response:
        acts = planned_acts(request.data)
        placed = [
            {"act": one.act, "state": one.state, "problems": [told(x) for x in one.problems]}
            for one in place(self.actor, acts, now=clock.now())
        ]
        return Response(PlacedAllShown({"acts": placed}).data)


def shown(one: Planned) -> dict[str, Any]:
    """A row of the dry run for its serializer."""
    problems = [told(problem) for problem in one.problems]
    return {"line_no": one.line_no, "label": one.label, "act": one.act, "problems": problems}


class Gpx(JSONRenderer):
    """The form that is negotiated; the view answers the bytes itself."""

    media_type = "application/gpx+xml"
    format = "gpx"


class GeoJsonFile(Gpx):
    media_type = "application/geo+json"
    format = "geojson"


class Export(TeamView):
    """The active sets that one sees and their lines' paths, as a file."""

    rules = {"GET": ANYONE_IN_TEAM}
    writer: Any
    name: str

    def known_parameters(self) -> set[str]:
        return {"line"}

    def get(self, request: Request, **kwargs: Any) -> Any:
        text = request.query_params.get("line")
        try:
            line = None if text is None else UUID(text)
        except ValueError:
            raise Refused(Problem("line", "shape_uuid_parsing")) from None
        sets, paths = sets_out(self.actor.team, self.own, line)
        renderer = self.renderer_classes[0]
        return HttpResponse(
            self.writer.write(sets, paths),
            content_type=renderer.media_type,
            headers={"Content-Disposition": f'attachment; filename="{self.name}"'},
        )


_LINE = [OpenApiParameter("line", UUID, description="Only of this line.")]


class ExportGpx(Export):
    """GPX 1.1: sets as waypoints, lines as routes."""

    renderer_classes = [Gpx]
    writer, name = gpx_out, "sets.gpx"

    @extend_schema(parameters=_LINE, responses={(200, "application/gpx+xml"): bytes})
    def get(self, request: Request, **kwargs: Any) -> Any:
        return super().get(request, **kwargs)


class ExportGeoJson(Export):
    """GeoJSON (RFC 7946): sets as points, lines as line strings."""

    renderer_classes = [GeoJsonFile]
    writer, name = geojson_out, "sets.geojson"

    @extend_schema(parameters=_LINE, responses={(200, "application/geo+json"): dict[str, Any]})
    def get(self, request: Request, **kwargs: Any) -> Any:
        return super().get(request, **kwargs)
