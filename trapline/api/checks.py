"""Checks and catches, and animals that wait."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.acting import act_schema, take_act
from trapline.api.base import FeatureList, FeatureOne, List, One, TeamView
from trapline.api.filtering import AtFilters, Choice, Id, Yes
from trapline.api.rules import ANYONE_IN_TEAM
from trapline.api.shown import CodeOrNull, Shown, ShownPlace
from trapline.lines.models import Catch as CatchRow
from trapline.lines.models import Check as CheckRow
from trapline.lines.models import Waiting as WaitingRow
from trapline.lines.words import Fate, Found, Gone, Placement, Sex, Sign
from trapline.record.animal_waiting import AnimalWaiting, CloseWaiting
from trapline.record.check_body import CheckSaid
from trapline.record.correct_check import CorrectCheck
from trapline.standing import lists

EXAMPLE = {
    "set": "0197f2a0-0000-7000-8000-000000000005",
    "found": "in_order",
    "done": ["left"],
    "position": [-128.4001, 61.9001],
    "accuracy_m": 8,
    "act": "0197f2a0-0000-7000-8000-000000000006",
    "at": "2026-01-05T09:12:00-07:00",
}


class PhotoTold(serializers.Serializer[Any]):
    """A photograph that a phone told of. Its file comes apart from it."""

    id = serializers.UUIDField()
    sha256 = serializers.CharField(help_text="Of the file as the phone made it, in hex.")
    size = serializers.IntegerField(help_text="Bytes.")
    came = serializers.BooleanField(help_text="False: the phone still owes the file.")


class CheckShown(ShownPlace):
    sign = CodeOrNull(Sign)
    gone_how = CodeOrNull(Gone)
    placement_seen = CodeOrNull(Placement)
    in_effect = serializers.BooleanField(read_only=True)
    photos = PhotoTold(many=True, read_only=True)

    class Meta:
        model = CheckRow
        geo_field = "position"
        fields = (
            "id", "set", "by", "at", "tz", "local_date", "how_seen", "seen_from_m",
            "supervision", "supervised_by", "accuracy_m", "found", "sign", "gone_how", "done",
            "placement_seen", "water_depth_m", "snow_depth_m", "reason", "note", "counts",
            "flags", "corrects", "withdraws", "in_effect", "photos",
        )  # fmt: skip


class CheckFilter(AtFilters):
    set = Id()
    line = Id(field_name="set__line")
    by = Id()
    found = Choice(choices=Found.choices)
    in_effect = Yes()


class Checks(FeatureList):
    """Checks of the sets one looks after, and one's own. Their place may be null."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": ANYONE_IN_TEAM}
    model, serializer_class, filterset_class = CheckRow, CheckShown, CheckFilter

    def rows(self) -> Any:
        return lists.checks_with_photos(self.own)

    @act_schema(CheckSaid, made="check", example=EXAMPLE)
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Log a check, with its catches."""
        return take_act(self, "log_check", made="check", at_address="api:check")


class Check(FeatureOne):
    """A check."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class = CheckRow, CheckShown

    def rows(self) -> Any:
        return lists.checks_with_photos(self.own)


class CheckCorrection(TeamView):
    """Say the check as it was, or that it was never made. Both records stay."""

    rules = {"POST": ANYONE_IN_TEAM}

    @act_schema(CorrectCheck, given=("corrects",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        return take_act(self, "correct_check", given={"corrects": kwargs["id"]})


class CatchShown(Shown):
    check = serializers.UUIDField(source="check_made_id", read_only=True)
    set = serializers.UUIDField(source="check_made.set_id", read_only=True)
    in_effect = serializers.BooleanField(read_only=True)

    class Meta:
        model = CatchRow
        fields = (
            "id", "check", "set", "at", "animal", "species", "sex", "age", "alive_on_arrival",
            "held_where", "is_target", "fate", "means", "dispatched_by", "condition",
            "handed_to", "reference", "weight_kg", "licence", "zone", "device_tag", "site_tag",
            "seal", "in_effect",
        )  # fmt: skip


class CatchFilter(AtFilters):
    set = Id(field_name="check_made__set")
    check = Id(field_name="check_made")
    animal = Id()
    species = Id()
    licence = Id()
    sex = Choice(choices=Sex.choices)
    fate = Choice(choices=Fate.choices)
    is_target = Yes()
    in_effect = Yes()


class Catches(List):
    """Animals in devices. They are written with their check."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class, filterset_class = CatchRow, CatchShown, CatchFilter

    def rows(self) -> Any:
        return lists.catches(self.own)


class Catch(One):
    """An animal in a device."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class = CatchRow, CatchShown

    def rows(self) -> Any:
        return lists.catches(self.own)


class WaitingShown(ShownPlace):
    ended_at = serializers.DateTimeField(read_only=True, allow_null=True)
    fate = serializers.ChoiceField(choices=Fate.choices, read_only=True, allow_null=True)

    class Meta:
        model = WaitingRow
        geo_field = "position"
        fields = ("id", "set", "by", "at", "alive", "species", "note", "ended_at", "fate")


class WaitingFilter(AtFilters):
    set = Id()
    ended = Yes(field_name="ended_at", lookup_expr="isnull", exclude=True)


class Waitings(FeatureList):
    """Animals waiting: alive and held, or dead and not to be moved. Their place may be null."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": ANYONE_IN_TEAM}
    model, serializer_class, filterset_class = WaitingRow, WaitingShown, WaitingFilter

    def rows(self) -> Any:
        return lists.waitings(self.own)

    @act_schema(AnimalWaiting, made="waiting")
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Raise the alarm: a duty due now for whoever is signed off."""
        return take_act(self, "animal_waiting", made="waiting", at_address="api:waiting")


class Waiting(FeatureOne):
    """An animal that waits or waited."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class = WaitingRow, WaitingShown

    def rows(self) -> Any:
        return lists.waitings(self.own)


class WaitingClose(TeamView):
    """It waits no longer: dispatched, released, handed over, or got away."""

    rules = {"POST": ANYONE_IN_TEAM}

    @act_schema(CloseWaiting, given=("waiting",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        return take_act(self, "close_waiting", given={"waiting": kwargs["id"]})
