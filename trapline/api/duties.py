"""Duties and the outbox of notices."""

from typing import Any

from rest_framework import serializers

from trapline.api.base import List, One
from trapline.api.filtering import Choice, Filters, Id, Moment, Yes
from trapline.api.rules import ANYONE_IN_TEAM, MANAGES
from trapline.api.shown import Shown
from trapline.duties import lists
from trapline.duties.models import OPEN, Kind, Notice, NoticeState, State
from trapline.duties.models import Duty as DutyRow


class DutyShown(Shown):
    set = serializers.UUIDField(source="about", read_only=True, allow_null=True)
    rule_code = serializers.CharField(source="rule.code", read_only=True, allow_null=True)
    recomputing = serializers.BooleanField(read_only=True)

    class Meta:
        model = DutyRow
        fields = (
            "id", "kind", "set", "waiting", "line", "licence", "who", "rule", "rule_code",
            "basis_at", "due_at", "state", "done_at", "recomputing",
        )  # fmt: skip


class DutyFilter(Filters):
    kind = Choice(choices=Kind.choices)
    state = Choice(choices=State.choices)
    open = Yes(method="is_open", label="Open or overdue.")
    who = Id()
    set = Id(field_name="about")
    due_before = Moment(field_name="due_at", lookup_expr="lt")

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
