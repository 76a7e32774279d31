"""Duties and the outbox of notices."""

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.acting import act_schema, take_act
from trapline.api.base import List, One, TeamView
from trapline.api.filtering import Choice, Filters, Id, Moment, Yes
from trapline.api.rules import ANYONE_IN_TEAM, MANAGES
from trapline.api.shown import Shown
from trapline.duties import lists
from trapline.duties.models import OPEN, Kind, Notice, NoticeState, Stage, State
from trapline.duties.models import Duty as DutyRow
from trapline.record.give_evidence import GiveEvidence
from trapline.record.settling_notices import SetNoticeStages


class DutyShown(Shown):
    set = serializers.UUIDField(source="about", read_only=True, allow_null=True)
    rule_code = serializers.CharField(source="rule.code", read_only=True, allow_null=True)
    recomputing = serializers.BooleanField(read_only=True)

    class Meta:
        model = DutyRow
        fields = (
            "id", "kind", "set", "waiting", "line", "licence", "caught", "permission", "part_kind",
            "who", "rule", "rule_code",
            "basis_at", "due_at", "state", "done_at", "recomputing",
        )  # fmt: skip


class DutyFilter(Filters):
    kind = Choice(choices=Kind.choices)
    state = Choice(choices=State.choices)
    open = Yes(method="is_open", label="Open or overdue.")
    who = Id()
    set = Id(method="about")
    due_before = Moment(field_name="due_at", lookup_expr="lt")

    def about(self, rows: Any, name: str, key: UUID) -> Any:
        return rows.filter(lists.of_sets([key]))

    def is_open(self, rows: Any, name: str, asked: bool) -> Any:
        return rows.filter(state__in=OPEN) if asked else rows.exclude(state__in=OPEN)


class Duties(List):
    """What must be done by a time. A member sees theirs, and those of sets they look after."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class, filterset_class = DutyRow, DutyShown, DutyFilter

    def rows(self) -> Any:
        return lists.duties(self.own)


class Duty(One):
    """A duty."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class = DutyRow, DutyShown

    def rows(self) -> Any:
        return lists.duties(self.own)


class DutyEvidence(TeamView):
    """What shows that a duty is done."""

    rules = {"POST": ANYONE_IN_TEAM}

    @act_schema(GiveEvidence, made="evidence", given=("duty",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Give the number of the report, the seal or the filing; the duty is done."""
        given = {"duty": kwargs["id"]}
        return take_act(self, "give_evidence", made="evidence", given=given)


class NoticeShown(Shown):
    kind = serializers.CharField(source="duty.kind", read_only=True)

    class Meta:
        model = Notice
        fields = (
            "id", "duty", "kind", "stage", "to", "channel", "made_at", "due_at", "state",
            "attempts", "retry_after", "sent_at", "error",
        )  # fmt: skip


class NoticeFilter(Filters):
    duty = Id()
    to = Id()
    state = Choice(choices=NoticeState.choices)


class Notices(List):
    """The outbox: who was told of what, and what became of it."""

    rules = {"GET": MANAGES}
    model, serializer_class, filterset_class = Notice, NoticeShown, NoticeFilter

    def rows(self) -> Any:
        return lists.notices()


class StageShown(Shown):
    class Meta:
        model = Stage
        fields = ("kind", "number", "offset_s", "recipient", "channel")


class NoticeStages(TeamView):
    """Who is told of each kind of duty, and when; a team has few, so they come whole."""

    rules = {"GET": MANAGES, "PUT": MANAGES}

    @extend_schema(responses=StageShown(many=True))
    def get(self, request: Request, **kwargs: Any) -> Response:
        return Response(StageShown(lists.stages(self.actor.team), many=True).data)

    @act_schema(SetNoticeStages)
    def put(self, request: Request, **kwargs: Any) -> Response:
        """Put these stages in place of all those of one kind of duty."""
        return take_act(self, "set_notice_stages")
