"""The book of acts: what became of each, and the review of those that could not be applied."""

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.acting import act_schema, take_act
from trapline.api.base import List, One, TeamView
from trapline.api.filtering import Choice, Filters, Id, Moment, Text
from trapline.api.problems import told
from trapline.api.rules import ANYONE_IN_TEAM, LEADS
from trapline.api.shown import ProblemTold, Shown
from trapline.ground.errors import Problem
from trapline.journal import lists
from trapline.journal.models import Act as ActRow
from trapline.journal.models import ActState
from trapline.record.settle_act import SettleAct


class ActShown(Shown):
    problem = serializers.SerializerMethodField()

    class Meta:
        model = ActRow
        fields = (
            "id", "kind", "acted_by", "sent_by", "acted_at", "wall_at", "skew_s",
            "clock_flagged", "received_at", "state", "problem", "settled_at", "settled_by",
        )  # fmt: skip

    @extend_schema_field(ProblemTold(allow_null=True))
    def get_problem(self, row: ActRow) -> dict[str, str] | None:
        if row.reason is None:
            return None
        return told(Problem(row.reason["field"], row.reason["code"], row.reason["values"]))


class WholeActShown(ActShown):
    text = serializers.SerializerMethodField(help_text="The act as it was sent, byte for byte.")
    sha256 = serializers.SerializerMethodField(help_text="Of those bytes, in hexadecimal.")

    class Meta:
        model = ActRow
        fields = (*ActShown.Meta.fields, "text", "sha256")

    def get_text(self, row: ActRow) -> str:
        return bytes(row.body).decode()

    def get_sha256(self, row: ActRow) -> str:
        return bytes(row.sha256).hex()


class ActFilter(Filters):
    state = Choice(choices=ActState.choices)
    kind = Text()
    acted_by = Id()
    received_from = Moment(field_name="received_at", lookup_expr="gte")


class Acts(List):
    """Every act and its state. A member sees those they made or sent."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class, filterset_class = ActRow, ActShown, ActFilter

    def rows(self) -> Any:
        return lists.acts(self.own)


class Act(One):
    """An act with its bytes."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class = ActRow, WholeActShown

    def rows(self) -> Any:
        return lists.acts(self.own).defer(None)


class ActSettle(TeamView):
    """Take in an act that needs review or is held, or decline it."""

    rules = {"POST": LEADS}

    @act_schema(SettleAct, given=("act",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        return take_act(self, "settle_act", given={"act": kwargs["id"]})
