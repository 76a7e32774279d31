"""Who may call a view. A view states a rule for each of its methods; without one, nobody may."""

from collections.abc import Mapping
from enum import StrEnum
from typing import Any

from rest_framework.exceptions import MethodNotAllowed
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from trapline.people.rights import Actor


class Rule(StrEnum):
    """What a call asks of whoever makes it."""

    OPEN = "open"
    SIGNED_IN = "signed_in"
    ANYONE_IN_TEAM = "anyone_in_team"
    LEADS = "leads"
    MANAGES = "manages"


OPEN, SIGNED_IN = Rule.OPEN, Rule.SIGNED_IN
ANYONE_IN_TEAM, LEADS, MANAGES = Rule.ANYONE_IN_TEAM, Rule.LEADS, Rule.MANAGES

Rules = Mapping[str, Rule]


def rule_of(view: Any, method: str | None) -> Rule | None:
    """The rule a view states for a method; None when it states none."""
    rules: Rules = view.rules
    return rules.get("GET" if method == "HEAD" else method or "")


def meets(actor: Actor, rule: Rule | None) -> bool:
    """Whether a member's role is enough for the rule of a team's address."""
    if rule is Rule.MANAGES:
        return actor.manages
    return actor.leads if rule is Rule.LEADS else rule is Rule.ANYONE_IN_TEAM


class Nobody(BasePermission):
    """The default: refused, so that a forgotten rule shows in the permission table test."""

    def has_permission(self, request: Request, view: Any) -> bool:
        return False


class Stated(BasePermission):
    """What the view's rule asks before the team is known; TeamView asks the rest.

    A method without a rule is no method of the view.
    """

    def has_permission(self, request: Request, view: Any) -> bool:
        rule = rule_of(view, request.method)
        if rule is None and request.user.is_authenticated:
            raise MethodNotAllowed(request.method or "")
        return rule is Rule.OPEN or bool(request.user.is_authenticated)
