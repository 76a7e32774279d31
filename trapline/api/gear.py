"""Kinds of device and part; devices and parts."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.acting import act_schema, put_act, take_act
from trapline.api.base import List, One
from trapline.api.filtering import Choice, Filters, Id, Text, Yes
from trapline.api.rules import ANYONE_IN_TEAM, LEADS
from trapline.api.shown import Shown
from trapline.gear import lists
from trapline.gear.models import (
    Action,
    AfterCatch,
    Device,
    DeviceClass,
    DeviceKind,
    PartKind,
    PartRole,
    PartState,
)
from trapline.record.build_device import BuildDevice
from trapline.record.settling_gear import NameDeviceKind, NamePartKind
from trapline.standing import lists as standing
from trapline.standing.models import PartStay


class KindPartShown(serializers.Serializer[Any]):
    """Which part a kind of device is built of, and what a catch does to it."""

    role = serializers.ChoiceField(choices=PartRole.choices)
    count = serializers.IntegerField()
    needed = serializers.BooleanField()
    after_catch = serializers.ChoiceField(choices=AfterCatch.choices)


class DeviceKindShown(Shown):
    parts = KindPartShown(many=True, read_only=True)

    class Meta:
        model = DeviceKind
        fields = (
            "id", "name", "device_class", "action", "skill", "jaw_spread_m", "mass_kg",
            "volume_m3", "set_up_s", "check_s", "price", "parts",
        )  # fmt: skip


class DeviceKindFilter(Filters):
    device_class = Choice(choices=DeviceClass.choices)
    action = Choice(choices=Action.choices)


class DeviceKinds(List):
    """Kinds of device, with the parts they are built of."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": LEADS}
    model, serializer_class, filterset_class = DeviceKind, DeviceKindShown, DeviceKindFilter

    def rows(self) -> Any:
        return lists.device_kinds()

    @act_schema(NameDeviceKind, made="kind")
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Name a kind of device."""
        return take_act(self, "name_device_kind", made="kind", at_address="api:device_kind")


class DeviceKindOne(One):
    """A kind of device."""

    rules = {"GET": ANYONE_IN_TEAM, "PUT": LEADS}
    model, serializer_class = DeviceKind, DeviceKindShown

    def rows(self) -> Any:
        return lists.device_kinds()

    @act_schema(NameDeviceKind, given=("kind",))
    def put(self, request: Request, **kwargs: Any) -> Response:
        """Say it anew. Class and action stay once there is a device of it."""
        return put_act(self, "name_device_kind", "kind", "api:device_kind")


class PartKindShown(Shown):
    class Meta:
        model = PartKind
        fields = (
            "id", "role", "name", "diameter_m", "construction", "breaking_load_n",
            "breaking_load_source", "mass_kg", "price", "fewest", "life_nights",
        )  # fmt: skip


class PartKinds(List):
    """Kinds of part, as the team buys them."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": LEADS}
    model, serializer_class = PartKind, PartKindShown

    def rows(self) -> Any:
        return lists.part_kinds()

    @act_schema(NamePartKind, made="kind")
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Name a kind of part."""
        return take_act(self, "name_part_kind", made="kind", at_address="api:part_kind")


class PartKindOne(One):
    """A kind of part."""

    rules = {"GET": ANYONE_IN_TEAM, "PUT": LEADS}
    model, serializer_class = PartKind, PartKindShown

    def rows(self) -> Any:
        return lists.part_kinds()

    @act_schema(NamePartKind, given=("kind",))
    def put(self, request: Request, **kwargs: Any) -> Response:
        """Say it anew. Its role stays once there is a part of it."""
        return put_act(self, "name_part_kind", "kind", "api:part_kind")


class DeviceShown(Shown):
    device_class = serializers.CharField(source="kind.device_class", read_only=True)
    in_use = serializers.BooleanField(read_only=True)

    class Meta:
        model = Device
        fields = ("id", "kind", "mark", "device_class", "in_use")


class DeviceFilter(Filters):
    kind = Id()
    mark = Text()
    device_class = Choice(field_name="kind__device_class", choices=DeviceClass.choices)
    in_use = Yes()


class Devices(List):
    """Devices: assemblies of parts, in use or free."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": ANYONE_IN_TEAM}
    model, serializer_class, filterset_class = Device, DeviceShown, DeviceFilter

    def rows(self) -> Any:
        return standing.devices()

    @act_schema(BuildDevice, made="device")
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Build a device of parts, new or from stock."""
        return take_act(self, "build_device", made="device")


class PartShown(Shown):
    id = serializers.UUIDField(source="part_id", read_only=True)
    kind = serializers.UUIDField(source="part.kind_id", read_only=True)
    role = serializers.CharField(source="part.kind.role", read_only=True)
    mark = serializers.CharField(source="part.mark", read_only=True)
    since = serializers.DateTimeField(source="during.lower", read_only=True)

    class Meta:
        model = PartStay
        fields = ("id", "kind", "role", "mark", "state", "device", "since")


class PartFilter(Filters):
    device = Id()
    kind = Id(field_name="part__kind")
    role = Choice(field_name="part__kind__role", choices=PartRole.choices)
    state = Choice(choices=PartState.choices)


class Parts(List):
    """Where each part is now, and in which state."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class, filterset_class = PartStay, PartShown, PartFilter
    ordering = "-part_id"

    def rows(self) -> Any:
        return standing.parts()
