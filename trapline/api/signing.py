"""Signing in for a token, signing out, one's own tokens, who one is, one's teams."""

from dataclasses import asdict
from math import ceil
from typing import Any

from django.conf import settings
from django.contrib.auth import authenticate
from django.contrib.auth.signals import user_logged_in
from drf_spectacular.utils import OpenApiExample, OpenApiResponse, extend_schema
from knox.models import AuthToken
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api import problems
from trapline.api.base import TeamView, View
from trapline.api.rules import ANYONE_IN_TEAM, OPEN, SIGNED_IN
from trapline.ground.errors import NotYours, Problem
from trapline.people.models import Light, Role, Units
from trapline.people.selectors import teams_with_names


class SignInSaid(serializers.Serializer[Any]):
    """Who signs in."""

    name = serializers.CharField(max_length=200, trim_whitespace=False)
    password = serializers.CharField(max_length=1000, trim_whitespace=False)


class TokenShown(serializers.Serializer[Any]):
    """A token that holds: its first characters tell it from others; the rest is not kept."""

    key = serializers.CharField(source="token_key")
    made_at = serializers.DateTimeField(source="created")


class TokenGiven(TokenShown):
    token = serializers.CharField(help_text="Shown this once. Send it as: Authorization: Bearer …")


_EXAMPLE = OpenApiExample(
    "An example", {"name": "maud.north", "password": "cedar-lantern-42"}, request_only=True
)


class SignIn(View):
    """A sign-in name and password give a token. Too many failures: locked for a while."""

    rules = {"POST": OPEN}
    authentication_classes = ()

    @extend_schema(request=SignInSaid, responses={201: TokenGiven}, examples=[_EXAMPLE])
    def post(self, request: Request, **kwargs: Any) -> Response:
        said = SignInSaid(data=request.data)
        said.is_valid(raise_exception=True)
        plain = request._request
        person = authenticate(
            plain,
            username=said.validated_data["name"],
            password=said.validated_data["password"],
        )
        if getattr(plain, "axes_locked_out", False):
            plain.axes_locked_out = False  # type: ignore[attr-defined]  # answered here, in one form
            minutes = ceil(settings.AXES_COOLOFF_TIME * 60)
            return problems.answer("locked", Problem("", "locked", {"minutes": minutes}))
        if person is None:
            return problems.answer("refused", Problem("name", "sign_in_wrong"))
        user_logged_in.send(sender=type(person), request=plain, user=person)
        row, token = AuthToken.objects.create(person)
        _forget_oldest(person)
        row.token = token
        return Response(TokenGiven(row).data, status=201)


def _forget_oldest(person: Any) -> None:
    """A person keeps so many tokens; the oldest go."""
    most = int(settings.REST_KNOX["TOKEN_LIMIT_PER_USER"] or 0)
    theirs = AuthToken.objects.filter(user=person)
    kept = theirs.order_by("-created").values_list("pk", flat=True)[:most]
    theirs.exclude(pk__in=list(kept)).delete()


_GONE = {204: OpenApiResponse(description="It no longer holds.")}


class SignOut(View):
    """The token that was sent no longer holds."""

    rules = {"POST": SIGNED_IN}

    @extend_schema(request=None, responses=_GONE)
    def post(self, request: Request, **kwargs: Any) -> Response:
        if not isinstance(request.auth, AuthToken):
            raise NotYours  # signed in by a page, which signs out there
        request.auth.delete()
        return Response(status=204)


class Tokens(View):
    """One's own tokens that hold."""

    rules = {"GET": SIGNED_IN}

    @extend_schema(responses=TokenShown(many=True))
    def get(self, request: Request, **kwargs: Any) -> Response:
        rows = AuthToken.objects.filter(user=request.user).order_by("-created")
        return Response(TokenShown(rows, many=True).data)


class Token(View):
    """One of one's own tokens."""

    rules = {"DELETE": SIGNED_IN}

    @extend_schema(responses=_GONE)
    def delete(self, request: Request, **kwargs: Any) -> Response:
        """It no longer holds from now on."""
        rows = AuthToken.objects.filter(user=request.user, token_key=kwargs["key"])
        if not rows.delete()[0]:
            raise NotYours
        return Response(status=204)


class PersonShown(serializers.Serializer[Any]):
    """The person who is signed in."""

    id = serializers.UUIDField()
    sign_in_name = serializers.CharField()
    name = serializers.CharField()
    email = serializers.CharField(allow_blank=True)
    units = serializers.ChoiceField(choices=Units.choices)
    light = serializers.ChoiceField(choices=Light.choices)
    language = serializers.CharField()


class Me(View):
    """Who is signed in."""

    rules = {"GET": SIGNED_IN}

    @extend_schema(responses=PersonShown)
    def get(self, request: Request, **kwargs: Any) -> Response:
        return Response(PersonShown(request.user).data)


class TeamShown(serializers.Serializer[Any]):
    """A team one is in, and as what."""

    slug = serializers.CharField()
    name = serializers.CharField()
    role = serializers.ChoiceField(choices=Role.choices)


class MyTeamShown(TeamShown):
    """A team and one's own membership of it."""

    id = serializers.UUIDField()
    member = serializers.UUIDField(help_text="One's own membership: who acts.")


class Teams(View):
    """The teams one is in."""

    rules = {"GET": SIGNED_IN}

    @extend_schema(responses=TeamShown(many=True))
    def get(self, request: Request, **kwargs: Any) -> Response:
        return Response(TeamShown(teams_with_names(request.user), many=True).data)


class Team(TeamView):
    """A team one is in."""

    rules = {"GET": ANYONE_IN_TEAM}

    @extend_schema(responses=MyTeamShown)
    def get(self, request: Request, **kwargs: Any) -> Response:
        (team,) = [
            team for team in teams_with_names(request.user) if team.slug == self.actor.team_slug
        ]
        shown = MyTeamShown({**asdict(team), "id": self.actor.team, "member": self.actor.member})
        return Response(shown.data)
