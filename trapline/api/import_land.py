"""Features of the land from a GeoJSON or GPX file: a dry run, then its act sent back."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.acting import act_schema, take_act
from trapline.api.base import TeamView
from trapline.api.imports import Upload
from trapline.api.problems import told
from trapline.api.rules import LEADS
from trapline.api.shown import ProblemTold
from trapline.ground.errors import Problem, Refused
from trapline.ground.files import MOST_BYTES
from trapline.land.formats import geojson_in, gpx_in
from trapline.land.models import FeatureKind
from trapline.record.import_features import ImportFeatures, PlannedFeature, dry_run

READERS = {"gpx": gpx_in.read, "geojson": geojson_in.read, "json": geojson_in.read}


class LandFile(serializers.Serializer[Any]):
    """A file of features, and what they are where it does not say so itself."""

    file = serializers.FileField(
        help_text="GeoJSON (RFC 7946) or GPX 1.1, at most 2 MB, 5,000 features. A GeoJSON feature "
        "says its kind in its property `kind`, a GPX way in its `type`."
    )
    kind = serializers.ChoiceField(choices=FeatureKind.choices, required=False)
    source = serializers.CharField(  # type: ignore[assignment]
        required=False, max_length=200, help_text="Where this is known from."
    )


class PlannedFeatureShown(serializers.Serializer[Any]):
    """What would become of one feature of the file."""

    number = serializers.IntegerField(help_text="Of the feature, from 1.")
    line_no = serializers.IntegerField(allow_null=True)
    name = serializers.CharField(allow_blank=True)
    kind = serializers.CharField(allow_blank=True)
    comes_in = serializers.BooleanField()
    length_m = serializers.FloatField()
    area_m2 = serializers.FloatField()
    problems = ProblemTold(many=True)


class LandPlanned(serializers.Serializer[Any]):
    """Every feature of the file, and the act that brings those in that can come."""

    features = PlannedFeatureShown(many=True)
    body = serializers.DictField(allow_null=True, help_text="For `features/import/`, as it is.")


class LandDryRun(TeamView):
    """What of a file would come in, with the reason for each that stays out. Nothing is written."""

    rules = {"POST": LEADS}
    parser_classes = [Upload]

    @extend_schema(request={"multipart/form-data": LandFile}, responses=LandPlanned)
    def post(self, request: Request, **kwargs: Any) -> Response:
        said = LandFile(data=request.data)
        said.is_valid(raise_exception=True)
        file, values = said.validated_data["file"], said.validated_data
        reader = READERS.get(str(file.name).rpartition(".")[2].lower())
        if reader is None:
            raise Refused(Problem("file", "file_no_land"))
        planned, body = dry_run(
            self.actor, reader(file.read(MOST_BYTES + 1)), kind=values.get("kind"),
            source=values.get("source", str(file.name)[:200]),
        )  # fmt: skip
        shown = {"features": [_shown(one) for one in planned], "body": body}
        return Response(LandPlanned(shown).data)


class LandImport(TeamView):
    """Bring the features of a dry run in, all in one act."""

    rules = {"POST": LEADS}

    @act_schema(ImportFeatures)
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Whole, or not at all."""
        return take_act(self, "import_features")


def _shown(one: PlannedFeature) -> dict[str, Any]:
    return {
        "number": one.number, "line_no": one.line_no, "name": one.name, "kind": one.kind,
        "comes_in": one.said is not None, "length_m": one.length_m, "area_m2": one.area_m2,
        "problems": [told(problem) for problem in one.problems],
    }  # fmt: skip
