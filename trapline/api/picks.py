"""Pick lists: gear that is set aside for a load."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.acting import act_schema, take_act
from trapline.api.base import List, One, TeamView
from trapline.api.filtering import Filters, Id
from trapline.api.rules import ANYONE_IN_TEAM, LEADS
from trapline.api.shown import Shown
from trapline.gear import lists
from trapline.gear.models import Pick as PickRow
from trapline.record.picking import DropPick, PickGear


class PickShown(Shown):
    devices = serializers.ListField(child=serializers.UUIDField(), read_only=True)
    parts = serializers.ListField(child=serializers.UUIDField(), read_only=True)
    dropped_at = serializers.DateTimeField(read_only=True, allow_null=True)

    class Meta:
        model = PickRow
        fields = ("id", "at", "name", "carrier", "note", "devices", "parts", "dropped_at")


class PickFilter(Filters):
    carrier = Id()


class Picks(List):
    """Pick lists with what each named. A member sees those they carry."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": LEADS}
    model, serializer_class, filterset_class = PickRow, PickShown, PickFilter

    def rows(self) -> Any:
        return lists.picks(self.own)

    @act_schema(PickGear, made="pick")
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Set gear aside. What another list keeps, or what stands in a set, is refused."""
        return take_act(self, "pick_gear", made="pick", at_address="api:pick")


class Pick(One):
    """A pick list."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class = PickRow, PickShown

    def rows(self) -> Any:
        return lists.picks(self.own)


class PickDrop(TeamView):
    """Free what a list still keeps."""

    rules = {"POST": LEADS}

    @act_schema(DropPick, given=("pick",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        """It stays readable; its gear may be taken by another."""
        return take_act(self, "drop_pick", given={"pick": kwargs["id"]})
