"""Who is acting, in which team, and what their role lets them do."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from trapline.ground import sql
from trapline.ground.errors import NotYours
from trapline.people.models import Membership, Person, Role, Team


@dataclass(frozen=True)
class Actor:
    """A member of a team, as one who acts. All keys, so that it can cross a process."""

    team: UUID
    team_slug: str
    member: UUID
    role: str
    person: UUID | None
    name: str

    @property
    def leads(self) -> bool:
        """A manager or an instructor."""
        return self.role in (Role.MANAGER, Role.INSTRUCTOR)

    @property
    def manages(self) -> bool:
        return self.role == Role.MANAGER


def access_team(person: Person | Any, slug: str) -> Actor:
    """The person's membership of the team at this address. Unknown or not theirs: NotYours.

    One statement. A membership that has ended gives no access.
    """
    values = {"slug": slug, "person": person.pk}
    found = sql.rows("trapline.people", "membership", values) if person.pk else []
    if not found:
        raise NotYours
    return Actor(*found[0])


def teams_of(person: Person | Any) -> list[Actor]:
    """All teams the person is in, by name. One statement."""
    rows = (
        Membership._base_manager.filter(person_id=person.pk, ended_at=None)
        .order_by("team__name")
        .values_list("team_id", "team__slug", "id", "role", "person_id", "name")
    )
    return [Actor(*row) for row in rows]


def make_team(name: str, slug: str) -> Team:
    """A new team; record/beginning.py gives it a manager and what every team needs."""
    return Team.objects.create(name=name, slug=slug)


def access_member(sender: Actor, member: UUID | None) -> Actor:
    """Who acted, when it was not the sender: a loaded file is acted by the student, sent by the

    instructor. Only those who lead may send for another.
    """
    if member is None or member == sender.member:
        return sender
    if not sender.leads:
        raise NotYours
    row = (
        Membership._base_manager.filter(team_id=sender.team, id=member)
        .values_list("team_id", "team__slug", "id", "role", "person_id", "name")
        .first()
    )
    if row is None:
        raise NotYours
    return Actor(*row)


def actor_of(team: UUID, member: UUID) -> Actor:
    """A member by key, for what the machine does in their name. One statement."""
    row = (
        Membership._base_manager.filter(team_id=team, id=member)
        .values_list("team_id", "team__slug", "id", "role", "person_id", "name")
        .first()
    )
    if row is None:
        raise NotYours
    return Actor(*row)
