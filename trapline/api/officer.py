"""What an officer says: extensions for sets, closures by notice and their end."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.acting import act_schema, take_act
from trapline.api.base import List, TeamView
from trapline.api.filtering import AtFilters, Id, Moment, Text
from trapline.api.rules import ANYONE_IN_TEAM, LEADS
from trapline.api.shown import Shown
from trapline.lines.models import Grant
from trapline.record.by_officer import CloseByNotice, GrantExtension, ReopenByNotice
from trapline.rulebook import lists
from trapline.rulebook.models import Closure
from trapline.standing import lists as standing


class ClosureShown(Shown):
    opened_at = serializers.DateTimeField(read_only=True, allow_null=True)

    class Meta:
        model = Closure
        fields = (
            "id", "at", "authority", "species", "zone_code", "from_at", "pull_by", "reference",
            "note", "opened_at",
        )  # fmt: skip


class ClosureFilter(AtFilters):
    species = Id()
    zone = Text(field_name="zone_code")
    from_before = Moment(field_name="from_at", lookup_expr="lt")


class Closures(List):
    """Closures by notice. They stand above the seasons of the rulebook."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": LEADS}
    model, serializer_class, filterset_class = Closure, ClosureShown, ClosureFilter

    def rows(self) -> Any:
        return lists.closures()

    @act_schema(CloseByNotice, made="closure")
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Close a species from a moment; sets made for it are to be pulled."""
        return take_act(self, "close_by_notice", made="closure")


class ClosureReopen(TeamView):
    """A closure ends by another notice."""

    rules = {"POST": LEADS}

    @act_schema(ReopenByNotice, given=("closure",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        return take_act(self, "reopen_by_notice", given={"closure": kwargs["id"]})


class ExtensionShown(Shown):
    class Meta:
        model = Grant
        fields = ("id", "act", "at", "set", "authority", "officer", "number", "until")


class ExtensionFilter(AtFilters):
    set = Id()
    authority = Id()


class Extensions(List):
    """Officers' extensions, one row a set. A member sees those of their own sets."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": LEADS}
    model, serializer_class, filterset_class = Grant, ExtensionShown, ExtensionFilter

    def rows(self) -> Any:
        return standing.grants(self.own)

    @act_schema(GrantExtension)
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Note an officer's extension for sets that are named."""
        return take_act(self, "grant_extension")
