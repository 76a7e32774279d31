"""What is done to devices and parts: kept, taken apart, mended, stocked, put away, tagged."""

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.acting import act_schema, take_act
from trapline.api.base import TeamView
from trapline.api.rules import ANYONE_IN_TEAM, LEADS
from trapline.record.keeping import KeepDevice, TagGear
from trapline.record.mending import ReplacePart, StripDevice
from trapline.record.stocking import PutParts, StockParts


class DeviceKeep(TeamView):
    """Where a device is kept from now on."""

    rules = {"POST": LEADS}

    @act_schema(KeepDevice, given=("device",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        """In store, lent to a member, lost or retired."""
        return take_act(self, "keep_device", given={"device": kwargs["id"]})


class DeviceStrip(TeamView):
    """All parts of a device come out."""

    rules = {"POST": LEADS}

    @act_schema(StripDevice, given=("device",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Take a device apart that stands nowhere and that no pick list keeps."""
        return take_act(self, "strip_device", given={"device": kwargs["id"]})


class DeviceReplace(TeamView):
    """One part of a device comes out, another of its role goes in."""

    rules = {"POST": ANYONE_IN_TEAM}

    @act_schema(ReplacePart, given=("device",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        """A member may do it at the sets they look after."""
        return take_act(self, "replace_part", given={"device": kwargs["id"]})


class PartsStock(TeamView):
    """Parts of one kind come into stock."""

    rules = {"POST": LEADS}

    @act_schema(StockParts)
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Bought or made."""
        return take_act(self, "stock_parts")


class PartsPut(TeamView):
    """Loose parts are in another state or place from now on."""

    rules = {"POST": LEADS}

    @act_schema(PutParts)
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Looked over, broken, lost, put away."""
        return take_act(self, "put_parts")


class GearTag(TeamView):
    """A tag goes onto a device or a part; an empty one comes off."""

    rules = {"POST": LEADS}

    @act_schema(TagGear)
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Name the one or the other."""
        return take_act(self, "tag_gear")
