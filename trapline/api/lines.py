"""Lines, as GeoJSON; what was measured on them; number books."""

from dataclasses import asdict
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.acting import act_schema, put_act, take_act
from trapline.api.base import FeatureList, FeatureOne, List, TeamView
from trapline.api.filtering import Choice, Filters, Id, Moment, Text
from trapline.api.rules import ANYONE_IN_TEAM, LEADS
from trapline.api.shown import Shown, ShownPlace
from trapline.lines.models import Line as LineRow
from trapline.lines.models import Reading, Signal
from trapline.lines.selectors import number_books, numbers_adrift
from trapline.lines.words import Heard, LineStatus, Measured, NumberKind, Travel
from trapline.record.draw_line import DrawLine
from trapline.record.papers import IssueNumbers, TakeReading
from trapline.record.spend_number import SpendNumber
from trapline.record.take_signal import TakeSignal
from trapline.standing import lists

EXAMPLE = {
    "name": "Creek line",
    "tz": "America/Whitehorse",
    "travel": "snowshoe",
    "path": {"type": "LineString", "coordinates": [[-128.42, 61.89], [-128.38, 61.91]]},
}


class LineShown(ShownPlace):
    class Meta:
        model = LineRow
        geo_field = "path"
        fields = ("id", "name", "tz", "travel", "status")


class LineFilter(Filters):
    name = Text()
    status = Choice(choices=LineStatus.choices)
    travel = Choice(choices=Travel.choices)


class Lines(FeatureList):
    """Lines with their paths. A member sees those on which they look after a set."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": LEADS}
    model, serializer_class, filterset_class = LineRow, LineShown, LineFilter

    def rows(self) -> Any:
        return lists.lines(self.own)

    @act_schema(DrawLine, made="line", example=EXAMPLE)
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Draw a line."""
        return take_act(self, "draw_line", made="line", at_address="api:line")


class Line(FeatureOne):
    """A line."""

    rules = {"GET": ANYONE_IN_TEAM, "PUT": LEADS}
    model, serializer_class = LineRow, LineShown

    def rows(self) -> Any:
        return lists.lines(self.own)

    @act_schema(DrawLine, given=("line",), example=EXAMPLE)
    def put(self, request: Request, **kwargs: Any) -> Response:
        """Draw it anew: every field is said."""
        return put_act(self, "draw_line", "line", "api:line")


class ReadingShown(Shown):
    class Meta:
        model = Reading
        fields = ("id", "line", "by", "at", "what", "value")


class ReadingFilter(Filters):
    line = Id()
    what = Choice(choices=Measured.choices)
    at_from = Moment(field_name="at", lookup_expr="gte")
    at_before = Moment(field_name="at", lookup_expr="lt")


class Readings(List):
    """Snow, water, air and ice as they were measured on a line."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": ANYONE_IN_TEAM}
    model, serializer_class, filterset_class = Reading, ReadingShown, ReadingFilter

    def rows(self) -> Any:
        return lists.readings(self.own)

    @act_schema(TakeReading, made="reading")
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Note a measurement."""
        return take_act(self, "take_reading", made="reading")


class SignalShown(Shown):
    class Meta:
        model = Signal
        fields = ("id", "set", "by", "at", "what")


class SignalFilter(Filters):
    set = Id()
    what = Choice(choices=Heard.choices)
    at_from = Moment(field_name="at", lookup_expr="gte")
    at_before = Moment(field_name="at", lookup_expr="lt")


class Signals(List):
    """What monitors on sets sent. A monitor's own post signs in with a token of its member."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": ANYONE_IN_TEAM}
    model, serializer_class, filterset_class = Signal, SignalShown, SignalFilter

    def rows(self) -> Any:
        return lists.signals(self.own)

    @act_schema(TakeSignal, made="signal")
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Note a signal."""
        return take_act(self, "take_signal", made="signal")


class NumberBookShown(serializers.Serializer[Any]):
    """A run of numbers issued to a licence, and how far it is used."""

    id = serializers.UUIDField()
    licence = serializers.UUIDField()
    licence_number = serializers.CharField()
    holder = serializers.CharField(help_text="Who holds the licence, and so the book.")
    kind = serializers.ChoiceField(choices=NumberKind.choices)
    prefix = serializers.CharField(allow_blank=True)
    first = serializers.IntegerField()
    last = serializers.IntegerField()
    used = serializers.IntegerField()
    void = serializers.IntegerField()
    lost = serializers.IntegerField()
    returned = serializers.IntegerField()
    next = serializers.IntegerField(allow_null=True)


class NumberBooks(TeamView):
    """Tag books and seals: a team has few, so they come whole."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": LEADS}

    @extend_schema(responses=NumberBookShown(many=True))
    def get(self, request: Request, **kwargs: Any) -> Response:
        books = [asdict(book) for book in number_books(self.actor.team)]
        return Response(NumberBookShown(books, many=True).data)

    @act_schema(IssueNumbers)
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Issue a run of numbers to a licence."""
        return take_act(self, "issue_numbers")


class AdriftShown(serializers.Serializer[Any]):
    """A number used on an animal of which no catch in effect bears it any more."""

    series = serializers.UUIDField()
    number = serializers.IntegerField()
    text = serializers.CharField()
    animal = serializers.UUIDField()


class NumbersAside(TeamView):
    """Numbers whose catch fell away; and numbers void, lost or returned."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": LEADS}

    @extend_schema(responses=AdriftShown(many=True))
    def get(self, request: Request, **kwargs: Any) -> Response:
        """Numbers used on animals whose catch was withdrawn or corrected since."""
        return Response(AdriftShown(numbers_adrift(self.actor.team), many=True).data)

    @act_schema(SpendNumber)
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Say of some numbers of a book that they are void, lost or returned."""
        return take_act(self, "spend_number")
