"""Findings: which sets are unsafe or unlawful, why, and what mends it; the device-fit table."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.acting import act_schema, take_act
from trapline.api.base import List, One, TeamView
from trapline.api.filtering import Choice, Filters, Id, Text, Yes
from trapline.api.rules import ANYONE_IN_TEAM, LEADS
from trapline.api.shown import Shown
from trapline.findings import selectors
from trapline.findings.fit import fit_of
from trapline.findings.models import Finding as FindingRow
from trapline.findings.models import FitSource, FitWhat, Severity
from trapline.gear.models import DeviceClass
from trapline.ground.words_of_findings import FINDING_WORDS
from trapline.people.selectors import rule_stamp_of
from trapline.record.finding_acts import AcknowledgeFinding, SetDeviceFit
from trapline.wording.finding_words import Told, told


class FindingShown(Shown):
    rule_code = serializers.CharField(source="rule.code", read_only=True, allow_null=True)
    title = serializers.SerializerMethodField()
    sentence = serializers.SerializerMethodField()
    remedy = serializers.SerializerMethodField()
    beside = serializers.SerializerMethodField(help_text="What it must not be taken for.")
    numbers = serializers.DictField(
        read_only=True, help_text="Figures it rests on: _m metres, _n newtons, _us microseconds."
    )

    class Meta:
        model = FindingRow
        fields = (
            "id", "set", "licence", "zone_code", "species", "code", "discriminator", "severity",
            "title", "sentence", "remedy", "beside", "numbers", "rule", "rule_code", "opened_at",
            "closed_at", "acknowledged_by", "acknowledged_at", "reason",
        )  # fmt: skip

    def get_title(self, row: FindingRow) -> str:
        return _told(row).title

    def get_sentence(self, row: FindingRow) -> str:
        return _told(row).sentence

    def get_remedy(self, row: FindingRow) -> str:
        return _told(row).remedy

    def get_beside(self, row: FindingRow) -> str:
        return _told(row).beside


def _told(row: Any) -> Told:
    return told(row.code, row.discriminator, row.numbers, species=row.species_name)


class FindingFilter(Filters):
    set = Id()
    line = Id(field_name="set__line")
    licence = Id()
    code = Choice(choices=[(code, said.title) for code, said in FINDING_WORDS.items()])
    severity = Choice(choices=Severity.choices)
    zone = Text(field_name="zone_code")
    open = Yes(field_name="closed_at", lookup_expr="isnull", label="Not closed by the facts.")
    acknowledged = Yes(field_name="acknowledged_at", lookup_expr="isnull", exclude=True)


class Findings(List):
    """What is found, open and closed. A member sees what is about the sets they look after."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class, filterset_class = FindingRow, FindingShown, FindingFilter

    def rows(self) -> Any:
        return selectors.told_findings(self.own)


class Finding(One):
    """A finding."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class = FindingRow, FindingShown

    def rows(self) -> Any:
        return selectors.told_findings(self.own)


class FindingAcknowledge(TeamView):
    """Why a finding may stand for now."""

    rules = {"POST": LEADS}

    @act_schema(AcknowledgeFinding, given=("finding",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Acknowledge a finding with a reason. It stays open until the facts close it."""
        return take_act(
            self, "acknowledge_finding", given={"finding": kwargs["id"]}, at_address="api:finding"
        )


class FitShown(serializers.Serializer[Any]):
    """A row of the device-fit table. Nobody's law."""

    device_class = serializers.ChoiceField(DeviceClass.choices)
    species = serializers.CharField()
    what = serializers.ChoiceField(FitWhat.choices)
    from_m = serializers.FloatField(allow_null=True)
    to_m = serializers.FloatField(allow_null=True)
    placements = serializers.ListField(child=serializers.CharField())
    source = serializers.CharField()  # type: ignore[assignment]
    status = serializers.ChoiceField(FitSource.choices)


class DeviceFit(TeamView):
    """The device-fit table: what holds which animal, what endangers it. Nobody's law."""

    rules = {"GET": ANYONE_IN_TEAM, "PUT": LEADS}

    @extend_schema(responses=FitShown(many=True))
    def get(self, request: Request, **kwargs: Any) -> Response:
        table = fit_of(self.actor.team, rule_stamp_of(self.actor.team))
        rows = sorted(table.values(), key=lambda one: one.key)
        return Response(FitShown(rows, many=True).data)

    @act_schema(SetDeviceFit)
    def put(self, request: Request, **kwargs: Any) -> Response:
        """Say one row anew, as the team has it."""
        return take_act(self, "set_device_fit")
