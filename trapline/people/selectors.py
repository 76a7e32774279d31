"""Reads about people and teams."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from trapline.ground.errors import NotYours
from trapline.people.models import Licence, Membership, Papers, Role, SignOff, Skill, Team


@dataclass(frozen=True)
class TeamOfPerson:
    """A team the person is in, for the choice of a team."""

    slug: str
    name: str
    role: str

    @property
    def role_words(self) -> str:
        return str(Role(self.role).label)


def teams_with_names(person: Any) -> list[TeamOfPerson]:
    """The person's teams by name. One statement, asked before any team is in force."""
    rows = (
        Membership._base_manager.filter(person_id=person.pk, ended_at=None)
        .order_by("team__name")
        .values_list("team__slug", "team__name", "role")
    )
    return [TeamOfPerson(*row) for row in rows]


@dataclass(frozen=True)
class Member:
    """A member of a team as others choose one from a list."""

    id: UUID
    name: str
    role: str


def members_in_office(team: UUID) -> list[Member]:
    """The members whose membership has not ended, by name. One statement."""
    rows = Membership.objects.filter(team_id=team, ended_at=None).order_by("name", "id")
    return [Member(*row) for row in rows.values_list("id", "name", "role")]


def licences(team: UUID) -> list[Licence]:
    """The team's licences with their holders, by number. One statement."""
    rows = Licence.objects.filter(team_id=team).select_related("holder")
    return list(rows.order_by("number"))


def papers(team: UUID) -> list[Papers]:
    """What lets whom do something under another's licence, the last to end first. One statement."""
    rows = Papers.objects.filter(team_id=team).select_related("licence", "agent")
    return list(rows.order_by("licence__number", "-valid_until", "agent__name", "id"))


def addresses_of(team: UUID) -> set[str]:
    """The e-mail addresses of the team's people, in lower case. One statement."""
    rows = Membership.objects.filter(team_id=team).exclude(person=None)
    return {str(one).lower() for one in rows.values_list("person__email", flat=True) if one}


def sign_offs(team: UUID) -> list[SignOff]:
    """The sign-offs in force, by skill. One statement."""
    rows = SignOff.objects.filter(team_id=team, ended_at=None)
    return list(rows.select_related("skill", "given_by", "member").order_by("skill__name", "id"))


def skills(team: UUID) -> list[Skill]:
    """What a person of the team can be signed off for, by name. One statement."""
    return list(Skill.objects.filter(team_id=team).order_by("name"))


def member_for_office(team: UUID, member: UUID) -> Membership:
    """A member with their person, for a manager's page; NotYours when gone. One statement."""
    found: Membership | None = (
        Membership.objects.filter(team_id=team, id=member, ended_at=None)
        .select_related("person")
        .first()
    )
    if found is None:
        raise NotYours
    return found


def rule_stamp_of(team: UUID) -> int:
    """The team's rule stamp. One statement."""
    stamp: int = Team.objects.values_list("rule_stamp", flat=True).get(id=team)
    return stamp
