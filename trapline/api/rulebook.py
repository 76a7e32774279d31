"""The rulebook: its versions, the rules and seasons in force, the animals it speaks of."""

from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.acting import act_schema, take_act
from trapline.api.base import List, One, View
from trapline.api.filtering import Choice, Filters, Id, Text
from trapline.api.rules import ANYONE_IN_TEAM, MANAGES, OPEN
from trapline.api.shown import Shown
from trapline.ground import clock
from trapline.record.take_rulebook import TakeRulebook
from trapline.rulebook import lists
from trapline.rulebook.models import Authority, Handling, Matter, Rule, Species, Version
from trapline.rulebook.schema import schema_json


class RuleShown(Shown):
    authority_code = serializers.CharField(source="authority.code", read_only=True)

    class Meta:
        model = Rule
        fields = (
            "id", "version", "code", "matter", "authority", "authority_code", "form", "params",
            "device_classes", "actions", "placements", "zone_codes", "species_codes",
            "licence_kinds", "from_day", "until_day", "holds_from", "holds_until", "instead_of",
            "source",
        )  # fmt: skip


class SeasonFilter(Filters):
    version = Id()
    authority = Id()
    zone = Text(field_name="zone_codes", lookup_expr="contains", method="of")
    species = Text(field_name="species_codes", lookup_expr="contains", method="of")

    def of(self, rows: Any, name: str, code: str) -> Any:
        """Rules for this code, and those that name none: they are for all."""
        return rows.filter(**{f"{name}__contains": [code]}) | rows.filter(**{name: []})


class RuleFilter(SeasonFilter):
    matter = Choice(choices=Matter.choices)


class Rules(List):
    """The rules in force now; with `version`, those of another version."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class, filterset_class = Rule, RuleShown, RuleFilter

    def rows(self) -> Any:
        if "version" in self.request.query_params:
            return lists.rules()
        return lists.rules_in_force(clock.now())


class Seasons(Rules):
    """The seasons in force now; `params` says from when until when, in local time."""

    filterset_class = SeasonFilter

    def rows(self) -> Any:
        return super().rows().filter(matter=Matter.SEASON)


class SpeciesShown(Shown):
    class Meta:
        model = Species
        fields = ("id", "code", "name", "latin", "handling", "card")


class SpeciesFilter(Filters):
    code = Text()
    handling = Choice(choices=Handling.choices)


class AllSpecies(List):
    """Animals, each with the card that says what to do with a live one."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class, filterset_class = Species, SpeciesShown, SpeciesFilter

    def rows(self) -> Any:
        return lists.species()


class AuthorityShown(Shown):
    class Meta:
        model = Authority
        fields = ("id", "code", "name", "kind")


class Authorities(List):
    """Who made rules. Between them the strictest binds."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class = Authority, AuthorityShown

    def rows(self) -> Any:
        return lists.authorities()


class VersionShown(Shown):
    in_force_from = serializers.DateTimeField(source="at", read_only=True)

    class Meta:
        model = Version
        fields = ("id", "number", "title", "in_force_from", "taken_by")


class WholeVersionShown(VersionShown):
    class Meta:
        model = Version
        fields = (*VersionShown.Meta.fields, "document")


class Rulebooks(List):
    """Every version of the team's rulebook, without its document."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": MANAGES}
    model, serializer_class = Version, VersionShown

    def rows(self) -> Any:
        return lists.versions()

    @act_schema(TakeRulebook)
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Take a rulebook in. Local codes and the licensing authority decide, not this record."""
        return take_act(self, "take_rulebook")


@extend_schema(responses=WholeVersionShown)
class Rulebook(One):
    """A version of the rulebook with its document, as it can be taken in again."""

    rules = {"GET": ANYONE_IN_TEAM}
    model, serializer_class = Version, WholeVersionShown

    def rows(self) -> Any:
        return lists.versions().defer(None)


class Format(View):
    """The format of rulebooks, as a JSON Schema (2020-12). The same for every team."""

    rules = {"GET": OPEN}

    @extend_schema(responses={(200, "application/schema+json"): OpenApiTypes.OBJECT})
    def get(self, request: Request, **kwargs: Any) -> Response:
        return Response(schema_json(), content_type="application/schema+json")
