"""Gear from a CSV file: a dry run, then its acts sent back. All gear as a CSV file."""

from typing import Any

from django.http import HttpResponse
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.base import TeamView
from trapline.api.imports import Upload
from trapline.api.problems import told
from trapline.api.rules import LEADS
from trapline.api.shown import ProblemTold
from trapline.ground import clock
from trapline.ground.errors import Problem, Refused
from trapline.ground.files import MOST_BYTES
from trapline.record.gear_rows import PlannedRow
from trapline.record.import_gear import GearActsSaid, dry_run, planned_acts, take_in
from trapline.standing.inventory import gear_csv


class GearFile(serializers.Serializer[Any]):
    """A table of gear; docs/gear-file.md says its columns."""

    file = serializers.FileField(help_text="CSV (RFC 4180) with a column `what`, at most 2 MB.")


class ChangeShown(serializers.Serializer[Any]):
    """A column, what it says now, and what it would say."""

    column = serializers.CharField()
    was = serializers.CharField(allow_blank=True)
    will_be = serializers.CharField()


class GearRowShown(serializers.Serializer[Any]):
    """What would become of the row at a line of the file."""

    line_no = serializers.IntegerField()
    what = serializers.CharField(allow_blank=True)
    name = serializers.CharField(allow_blank=True)
    becomes = serializers.ChoiceField(choices=["new", "changed", "same", "refused"])
    changes = ChangeShown(many=True)
    problems = ProblemTold(many=True)


class GearActShown(serializers.Serializer[Any]):
    """An act as it would be sent, and the lines it is made of."""

    act = serializers.UUIDField()
    kind = serializers.CharField()
    body = serializers.DictField()
    lines = serializers.ListField(child=serializers.IntegerField())


class GearPlanned(serializers.Serializer[Any]):
    """Every row, and the acts for `gear/import/`: none while a row is refused."""

    rows = GearRowShown(many=True)
    at = serializers.DateTimeField()
    acts = GearActShown(many=True)


class GearTaken(serializers.Serializer[Any]):
    """How many acts were taken in."""

    acts = serializers.IntegerField()


class GearDryRun(TeamView):
    """What a table would make and change, row by row. Nothing is written."""

    rules = {"POST": LEADS}
    parser_classes = [Upload]

    @extend_schema(request={"multipart/form-data": GearFile}, responses=GearPlanned)
    def post(self, request: Request, **kwargs: Any) -> Response:
        said = GearFile(data=request.data)
        said.is_valid(raise_exception=True)
        file = said.validated_data["file"]
        if not str(file.name).lower().endswith(".csv"):
            raise Refused(Problem("file", "file_no_csv"))
        run = dry_run(self.actor, file.read(MOST_BYTES + 1), now=clock.now())
        shown = {"rows": [_shown(one) for one in run.rows], "at": run.at, "acts": run.acts}
        return Response(GearPlanned(shown).data)


class GearImport(TeamView):
    """Take in what a dry run gave: all of it or nothing. Sent twice, it is done once."""

    rules = {"POST": LEADS}

    @extend_schema(request=GearActsSaid, responses=GearTaken)
    def post(self, request: Request, **kwargs: Any) -> Response:
        n = take_in(self.actor, planned_acts(request.data), now=clock.now())
        return Response(GearTaken({"acts": n}).data)


class Csv(JSONRenderer):
    """The form that is negotiated; the view answers the bytes itself."""

    media_type = "text/csv"
    format = "csv"


class ExportGear(TeamView):
    """All gear but what is spent, lost or put away. Read in again it changes nothing."""

    rules = {"GET": LEADS}
    renderer_classes = [Csv]

    @extend_schema(responses={(200, "text/csv"): bytes})
    def get(self, request: Request, **kwargs: Any) -> Any:
        return HttpResponse(
            "".join(gear_csv(self.actor.team)),
            content_type="text/csv; charset=utf-8",
            headers={"Content-Disposition": 'attachment; filename="gear.csv"'},
        )


def _shown(one: PlannedRow) -> dict[str, Any]:
    return {
        "line_no": one.line_no, "what": one.what, "name": one.name, "becomes": one.becomes,
        "changes": [{"column": c, "was": was, "will_be": now} for c, was, now in one.changes],
        "problems": [told(problem) for problem in one.problems],
    }  # fmt: skip
