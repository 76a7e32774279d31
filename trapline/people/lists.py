"""Lists about people that the API filters and pages."""

from typing import Any

from trapline.people.models import Licence, Membership, Papers, SignOff, Skill


def members() -> Any:
    """Everyone who is or was in the team in force."""
    return Membership.objects.all()


def licences() -> Any:
    """The team's licences."""
    return Licence.objects.all()


def papers() -> Any:
    """What lets whom do something under another's licence."""
    return Papers.objects.all()


def skills() -> Any:
    """What one can be signed off for."""
    return Skill.objects.all()


def sign_offs() -> Any:
    """Who was signed off for what, by whom, until when."""
    return SignOff.objects.all()
