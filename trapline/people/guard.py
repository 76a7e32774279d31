"""Who may open a page. Every view states its rule; a view without one fails a test."""

from collections.abc import Callable
from enum import StrEnum
from functools import wraps
from typing import Any, Concatenate, ParamSpec

from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, HttpResponseNotAllowed

from trapline.ground.errors import NotYours
from trapline.ground.scope import team_scope
from trapline.people.models import Team
from trapline.people.rights import Actor, access_team

P = ParamSpec("P")
View = Callable[..., HttpResponseBase]


class Rule(StrEnum):
    """What a page asks of whoever opens it."""

    OPEN = "open"
    SIGNED_IN = "signed_in"
    ANYONE_IN_TEAM = "anyone_in_team"
    LEADS = "leads"
    MANAGES = "manages"


OPEN, SIGNED_IN = Rule.OPEN, Rule.SIGNED_IN
ANYONE_IN_TEAM, LEADS, MANAGES = Rule.ANYONE_IN_TEAM, Rule.LEADS, Rule.MANAGES


def meets(actor: Actor, rule: Rule) -> bool:
    """Whether the actor's role is enough for the rule of a team page."""
    if rule is Rule.MANAGES:
        return actor.manages
    return actor.leads if rule is Rule.LEADS else rule is Rule.ANYONE_IN_TEAM


def page(rule: Rule, *methods: str) -> Callable[[View], View]:
    """A page outside any team: open to all, or to whoever is signed in. Default: GET only."""
    allowed = methods or ("GET",)

    def decorate(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if rule is not Rule.OPEN and not request.user.is_authenticated:
                return _to_sign_in(request)
            if not _allows(request, allowed):
                return HttpResponseNotAllowed(allowed)
            return view(request, *args, **kwargs)

        return _stated(guarded, rule, allowed)

    return decorate


def team_page(
    rule: Rule, *methods: str
) -> Callable[[Callable[Concatenate[HttpRequest, Actor, P], HttpResponse]], View]:
    """A page of a team: /t/<team>/... Opens the team's scope and hands the view its actor.

    Not a member, no such team, or a role that is not enough: the same 404.
    """
    allowed = methods or ("GET",)

    def decorate(view: Callable[Concatenate[HttpRequest, Actor, P], HttpResponse]) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, team: str, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return _to_sign_in(request)
            try:
                actor = access_team(request.user, team)
                if not meets(actor, rule):
                    raise NotYours
                request.actor = actor  # type: ignore[attr-defined]  # for the templates
                request.team = Team.objects.get(pk=actor.team)  # type: ignore[attr-defined]
                if not _allows(request, allowed):
                    return HttpResponseNotAllowed(allowed)
                with team_scope(actor.team):
                    return view(request, actor, *args, **kwargs)
            except NotYours:
                raise Http404 from None

        return _stated(guarded, rule, allowed)

    return decorate


def team_of(request: HttpRequest) -> Team:
    """The team whose page this is, as the guard read it."""
    team: Team = request.team  # type: ignore[attr-defined]
    return team


def _allows(request: HttpRequest, allowed: tuple[str, ...]) -> bool:
    return request.method in allowed or (request.method == "HEAD" and "GET" in allowed)


def _to_sign_in(request: HttpRequest) -> HttpResponseBase:
    return redirect_to_login(request.get_full_path())


def _stated(view: View, rule: Rule, methods: tuple[str, ...]) -> View:
    # tests/pages/test_permission_table.py reads both.
    view.rule, view.methods = rule, methods  # type: ignore[attr-defined]
    return view
