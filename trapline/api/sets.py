"""Sets, as GeoJSON: how they stand, what happened to them, placing, pulling, handing over."""

from dataclasses import asdict
from typing import Any

from django.contrib.gis.geos import GEOSGeometry, Polygon
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.acting import act_schema, take_act
from trapline.api.base import FeatureList, FeatureOne, TeamView
from trapline.api.filtering import Choice, Filters, Id, Moment, Text, Yes
from trapline.api.rules import ANYONE_IN_TEAM, LEADS, MANAGES
from trapline.api.shown import CodeOrNull, Place, ShownPlace
from trapline.duties import lists
from trapline.duties.selectors import timeline
from trapline.gear.models import DeviceClass
from trapline.ground.errors import NotYours, Problem, Refused
from trapline.lines.words import Ended, Found, Placement
from trapline.record.end_set import EndSet
from trapline.record.hand_over import HandOver
from trapline.record.place_set import PlaceSet
from trapline.standing.models import SetState

EXAMPLE = {
    "line": "0197f2a0-0000-7000-8000-000000000001",
    "label": "C-04",
    "licence": "0197f2a0-0000-7000-8000-000000000002",
    "place": [-128.40, 61.90],
    "placement": "land",
    "device": "0197f2a0-0000-7000-8000-000000000003",
    "targets": ["0197f2a0-0000-7000-8000-000000000004"],
    "loop_diameter_m": 0.15,
    "loop_height_m": 0.25,
}


class SetShown(ShownPlace):
    ended = CodeOrNull(Ended)
    last_found = CodeOrNull(Found)
    id = serializers.UUIDField(source="set_id", read_only=True)
    label = serializers.CharField(source="set.label", read_only=True)
    licence = serializers.UUIDField(source="set.licence_id", read_only=True)
    placed_by = serializers.UUIDField(source="set.placed_by_id", read_only=True)
    targets = serializers.ListField(child=serializers.UUIDField(), read_only=True)
    due_at = serializers.DateTimeField(read_only=True, allow_null=True)

    class Meta(Place):
        model = SetState
        fields = (
            "id", "label", "line", "licence", "targets", "active", "ended", "ended_at",
            "placed_at", "placed_by", "responsible", "placement", "device", "device_class",
            "action", "tag", "bait", "bait_in_view", "loop_diameter_m", "loop_height_m",
            "anchoring", "water_depth_m", "snow_depth_m", "zone_codes", "last_visit_at",
            "last_check_at", "last_found", "due_at",
        )  # fmt: skip


class SetFilter(Filters):
    line = Id()
    label = Text(field_name="set__label")
    licence = Id(field_name="set__licence")
    responsible = Id()
    active = Yes()
    placement = Choice(choices=Placement.choices)
    device = Id()
    device_class = Choice(choices=DeviceClass.choices)
    zone = Text(method="in_zone", label="A zone's code.")
    due_before = Moment(field_name="due_at", lookup_expr="lt")
    bbox = Text(method="in_box", label="west,south,east,north in degrees (WGS 84).")

    def in_zone(self, rows: Any, name: str, code: str) -> Any:
        return rows.filter(zone_codes__contains=[code])

    def in_box(self, rows: Any, name: str, text: str) -> Any:
        return rows.filter(mercator__intersects=box(text))


def box(text: str) -> GEOSGeometry:
    """A box from four numbers, as RFC 7946 orders them; mercator has no poles."""
    try:
        west, south, east, north = (float(one) for one in text.split(","))
    except ValueError:
        raise Refused(Problem("bbox", "bbox")) from None
    if not (-180 <= west < east <= 180 and -90 <= south < north <= 90):
        raise Refused(Problem("bbox", "bbox"))
    made = Polygon.from_bbox((west, max(south, -85.06), east, min(north, 85.06)))
    made.srid = 4326
    return made.transform(3857, clone=True)


class Sets(FeatureList):
    """Sets as they stand. A member sees those they are responsible for."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": ANYONE_IN_TEAM}
    model, serializer_class, filterset_class = SetState, SetShown, SetFilter

    def rows(self) -> Any:
        return lists.sets(self.own)

    @act_schema(PlaceSet, made="set", example=EXAMPLE)
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Place a set. A member places sets of their own; who leads may assign them."""
        return take_act(self, "place_set", made="set", at_address="api:set")


class Set(FeatureOne):
    """A set as it stands."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class = SetState, SetShown

    def rows(self) -> Any:
        return lists.sets(self.own)


class EventShown(serializers.Serializer[Any]):
    """Something that happened to a set; `told` holds what was said, by kind of event."""

    at = serializers.DateTimeField()
    kind = serializers.CharField()
    id = serializers.UUIDField()
    by = serializers.CharField(allow_blank=True)
    received_at = serializers.DateTimeField(allow_null=True)
    told = serializers.DictField()


class SetTimeline(TeamView):
    """What happened to a set, the newest first; at most the last hundred."""

    rules = {"GET": ANYONE_IN_TEAM}

    @extend_schema(responses=EventShown(many=True))
    def get(self, request: Request, **kwargs: Any) -> Response:
        if not lists.sets(self.own).filter(pk=kwargs["id"]).exists():
            raise NotYours
        events = [asdict(event) for event in timeline(self.actor.team, kwargs["id"])]
        return Response(EventShown(events, many=True).data)


class SetPull(TeamView):
    """The set goes out of business."""

    rules = {"POST": ANYONE_IN_TEAM}

    @act_schema(EndSet, given=("set",), act="pull_set")
    def post(self, request: Request, **kwargs: Any) -> Response:
        return take_act(self, "pull_set", given={"set": kwargs["id"]})


class SetLost(TeamView):
    """The set is closed as lost: after recorded searches, by a manager's word."""

    rules = {"POST": MANAGES}

    @act_schema(EndSet, given=("set",), act="close_as_lost")
    def post(self, request: Request, **kwargs: Any) -> Response:
        return take_act(self, "close_as_lost", given={"set": kwargs["id"]})


class SetHandOver(TeamView):
    """Another looks after the set from now on; its licence stays."""

    rules = {"POST": LEADS}

    @act_schema(HandOver, given=("set",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        return take_act(self, "hand_over", given={"set": kwargs["id"]})
