"""Zones, permissions and features of the land, as GeoJSON."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.acting import act_schema, put_act, take_act
from trapline.api.base import FeatureList, FeatureOne, TeamView
from trapline.api.filtering import Choice, Date, Filters, Text
from trapline.api.rules import ANYONE_IN_TEAM, LEADS, MANAGES
from trapline.api.shown import ShownPlace
from trapline.ground import clock
from trapline.land import lists
from trapline.land.models import Feature as FeatureRow
from trapline.land.models import FeatureKind
from trapline.land.models import Permission as PermissionRow
from trapline.land.models import Zone as ZoneRow
from trapline.record.settling_land import (
    DrawFeature,
    DropFeature,
    KeepPermission,
    SetRenewalDays,
    WithdrawPermission,
)


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


class PermissionShown(ShownPlace):
    class Meta:
        model = PermissionRow
        geo_field = "parcel"
        fields = (
            "id", "name", "holder", "contact", "valid_from", "valid_until", "conditions",
            "reference", "members", "withdrawn_on",
        )  # fmt: skip


class PermissionFilter(Filters):
    valid_on = Date(method="on")

    def on(self, rows: Any, name: str, day: Any) -> Any:
        return rows.filter(valid_from__lte=day, valid_until__gte=day)


class Permissions(FeatureList):
    """Leave to be on land, with the parcel it is for."""

    rules = {"GET": LEADS, "POST": MANAGES}
    model, serializer_class, filterset_class = PermissionRow, PermissionShown, PermissionFilter

    def rows(self) -> Any:
        return lists.permissions()

    @act_schema(KeepPermission, made="permission")
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Keep a permission."""
        return take_act(self, "keep_permission", made="permission", at_address="api:permission")


class Permission(FeatureOne):
    """A permission."""

    rules = {"GET": LEADS, "PUT": MANAGES}
    model, serializer_class = PermissionRow, PermissionShown

    def rows(self) -> Any:
        return lists.permissions()

    @act_schema(KeepPermission, given=("permission",))
    def put(self, request: Request, **kwargs: Any) -> Response:
        """Say it anew: every field is said."""
        return put_act(self, "keep_permission", "permission", "api:permission")


class PermissionEnd(TeamView):
    """The end of a permission."""

    rules = {"POST": MANAGES}

    @act_schema(WithdrawPermission, given=("permission",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        """End it, or let it run out: nobody is asked to renew it."""
        given = {"permission": kwargs["id"]}
        return take_act(self, "withdraw_permission", given=given, at_address="api:permission")


class Renewals(TeamView):
    """When permissions are to be renewed."""

    rules = {"PUT": MANAGES}

    @act_schema(SetRenewalDays)
    def put(self, request: Request, **kwargs: Any) -> Response:
        """Set how many days before its end a permission is to be renewed."""
        return take_act(self, "set_renewal_days")


class FeatureShown(ShownPlace):
    class Meta:
        model = FeatureRow
        geo_field = "shape"
        fields = ("id", "kind", "name", "source")


class FeatureFilter(Filters):
    kind = Choice(choices=FeatureKind.choices)


class Features(FeatureList):
    """What on the land a set must keep away from, or near."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": LEADS}
    model, serializer_class, filterset_class = FeatureRow, FeatureShown, FeatureFilter

    def rows(self) -> Any:
        return lists.features()

    @act_schema(DrawFeature, made="feature")
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Draw a feature."""
        return take_act(self, "draw_feature", made="feature", at_address="api:feature")


class Feature(FeatureOne):
    """A feature of the land."""

    rules = {"GET": ANYONE_IN_TEAM, "PUT": LEADS}
    model, serializer_class = FeatureRow, FeatureShown

    def rows(self) -> Any:
        return lists.features()

    @act_schema(DrawFeature, given=("feature",))
    def put(self, request: Request, **kwargs: Any) -> Response:
        """Draw it anew."""
        return put_act(self, "draw_feature", "feature", "api:feature")


class FeatureDrop(TeamView):
    """The end of a feature."""

    rules = {"POST": LEADS}

    @act_schema(DropFeature, given=("feature",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Take it off the land."""
        return take_act(self, "drop_feature", given={"feature": kwargs["id"]})
