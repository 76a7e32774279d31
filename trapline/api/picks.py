"""Pick lists: gear that is set aside for a load."""

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from pydantic import BaseModel
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
from trapline.plans.picking import fill
from trapline.record.picking import DropPick, FillPick, PickGear
from trapline.standing.reserved import access_pick


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


class ThingSaid(BaseModel):
    """A device (no role) or a loose part that lies ready. mark: may be empty of a part."""

    id: UUID
    kind: str
    role: str
    mark: str
    place: str


class LackSaid(BaseModel):
    """What is not there: devices of a kind (no role), or parts of a role for spare kits."""

    kind: str
    role: str
    count: int


class FillSaid(BaseModel):
    """What would make the list whole, to be sent back as it stands; and what is still lacking."""

    devices: list[ThingSaid]
    parts: list[ThingSaid]
    lacking: list[LackSaid]


class PickFill(TeamView):
    """Fill a list that is short: gear was lost or spent, or came in since."""

    rules = {"GET": LEADS, "POST": LEADS}

    @extend_schema(responses={200: FillSaid})
    def get(self, request: Request, **kwargs: Any) -> Response:
        """What would fill it now. Nothing is set aside."""
        pick = access_pick(self.actor.team, kwargs["id"], self.own)
        found = fill(self.actor.team, pick.id)
        devices = [
            ThingSaid(id=one.id, kind=one.kind, role="", mark=one.mark, place=one.place)
            for one in found.devices
        ]
        parts = [
            ThingSaid(id=one.id, kind=one.kind, role=one.role, mark=one.mark, place=one.place)
            for one in found.parts
        ]
        lacking = [LackSaid(kind=one.kind, role=one.role, count=one.count) for one in found.lacking]
        said = FillSaid(devices=devices, parts=parts, lacking=lacking)
        return Response(said.model_dump(mode="json"))

    @act_schema(FillPick, given=("pick",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Set these aside too, by their ids. Never more than the list is short of."""
        return take_act(self, "fill_pick", given={"pick": kwargs["id"]})


class PickDrop(TeamView):
    """Free what a list still keeps."""

    rules = {"POST": LEADS}

    @act_schema(DropPick, given=("pick",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        """It stays readable; its gear may be taken by another."""
        return take_act(self, "drop_pick", given={"pick": kwargs["id"]})
