"""Zones, as GeoJSON."""

from typing import Any

from rest_framework import serializers

from trapline.api.base import FeatureList, FeatureOne
from trapline.api.filtering import Filters, Text
from trapline.api.rules import ANYONE_IN_TEAM
from trapline.api.shown import ShownPlace
from trapline.ground import clock
from trapline.land import lists
from trapline.land.models import Zone as ZoneRow


class ZoneShown(ShownPlace):
    since = serializers.DateTimeField(read_only=True, allow_null=True)
    until = serializers.DateTimeField(read_only=True, allow_null=True)

    class Meta:
        model = ZoneRow
        geo_field = "area"
        fields = ("id", "code", "name", "since", "until")


class ZoneFilter(Filters):
    code = Text()


class Zones(FeatureList):
    """Management areas, by the outlines in force now."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class, filterset_class = ZoneRow, ZoneShown, ZoneFilter

    def rows(self) -> Any:
        return lists.zones(clock.now())


class Zone(FeatureOne):
    """A management area."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class = ZoneRow, ZoneShown

    def rows(self) -> Any:
        return lists.zones(clock.now())
