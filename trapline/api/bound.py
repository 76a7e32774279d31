"""Which rules bound a set at a moment, and why the others did not."""

from datetime import datetime
from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.base import TeamView
from trapline.api.rulebook import RuleShown
from trapline.api.rules import ANYONE_IN_TEAM
from trapline.api.shown import Shown
from trapline.binding.then import rules_that_bound
from trapline.ground import clock
from trapline.ground.errors import NotYours, Problem, Refused
from trapline.rulebook.models import Closure
from trapline.standing import lists


class WeighedShown(serializers.Serializer[Any]):
    """A rule on the set.

    standing: binds, open, shut, moves, hours, later, exempt, outdone, replaced or apart; `by` are
    the codes of those that outdo or replace it, `reasons` why it is apart.
    """

    rule = RuleShown()
    standing = serializers.CharField()
    by = serializers.ListField(child=serializers.CharField())
    reasons = serializers.ListField(child=serializers.CharField())
    due_at = serializers.DateTimeField(allow_null=True)
    basis_at = serializers.DateTimeField(allow_null=True)
    granted = serializers.BooleanField()


class StoodShown(serializers.Serializer[Any]):
    """The set as it stood at the moment."""

    placement = serializers.CharField()
    device = serializers.UUIDField()
    device_class = serializers.CharField()
    action = serializers.CharField()
    responsible = serializers.UUIDField()
    licence_kind = serializers.CharField(allow_blank=True)
    targets = serializers.ListField(child=serializers.CharField())
    zones = serializers.ListField(child=serializers.CharField())
    last_visit_at = serializers.DateTimeField()


class ClosureThen(Shown):
    class Meta:
        model = Closure
        fields = ("id", "authority", "species", "zone_code", "from_at", "reference")


class BoundShown(serializers.Serializer[Any]):
    """What bound the set; `closures` are by notice and stand above the seasons."""

    moment = serializers.DateTimeField()
    version = serializers.UUIDField(source="version.id", allow_null=True, default=None)
    stood = StoodShown(allow_null=True)
    rules = WeighedShown(many=True)
    closures = ClosureThen(many=True)


class SetRules(TeamView):
    """All rules of the version in force at a moment, weighed on the set as it stood then."""

    rules = {"GET": ANYONE_IN_TEAM}

    def known_parameters(self) -> set[str]:
        return {"at"}

    @extend_schema(
        responses=BoundShown,
        parameters=[OpenApiParameter("at", datetime, description="The moment; now, without it.")],
    )
    def get(self, request: Request, **kwargs: Any) -> Response:
        if not lists.sets(self.own).filter(pk=kwargs["id"]).exists():
            raise NotYours
        moment = self._asked(request)
        found = rules_that_bound(self.actor.team, kwargs["id"], moment)
        return Response(BoundShown(found).data)

    def _asked(self, request: Request) -> datetime:
        said = request.query_params.get("at")
        if said is None:
            return clock.now()
        try:
            moment = datetime.fromisoformat(said)
        except ValueError:
            raise Refused(Problem("at", "shape_datetime_type")) from None
        if moment.tzinfo is None:
            raise Refused(Problem("at", "shape_timezone_aware"))
        if not 1900 < moment.year < 2199:
            raise Refused(Problem("at", "shape_datetime_range"))
        return moment
