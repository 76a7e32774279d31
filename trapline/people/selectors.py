"""Reads about people and teams."""

from dataclasses import dataclass
from typing import Any

from trapline.people.models import Membership, Role


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
    """The person's teams by name. One statement, over all teams: it is asked before one is chosen."""
    rows = (
        Membership._base_manager.filter(person_id=person.pk, ended_at=None)
        .order_by("team__name")
        .values_list("team__slug", "team__name", "role")
    )
    return [TeamOfPerson(*row) for row in rows]
