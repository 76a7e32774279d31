"""A team with a manager and nothing else, and a way to take rulebooks in."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from uuid import UUID

import pytest
from django.db import transaction

from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.people.models import Membership, Person, Team
from trapline.rulebook.intake import write_version
from trapline.rulebook.models import Version
from trapline.rulebook.schema import Document

NOW = datetime(2026, 1, 5, 18, 0, tzinfo=UTC)


@dataclass(frozen=True)
class Office:
    """Where rulebooks of one team are taken in."""

    team: UUID
    manager: UUID

    def act(self) -> UUID:
        """An act in the book, for facts to point to."""
        made: Act = Act.objects.create(
            team_id=self.team,
            kind="take_rulebook",
            version=1,
            acted_by_id=self.manager,
            sent_by_id=self.manager,
            body=b"{}",
            sha256=b"",
            acted_at=NOW,
            wall_at=NOW,
            received_at=NOW,
            state="applied",
        )
        return made.id

    def take(self, document: Document) -> Version:
        """Take a rulebook in, in a transaction of its own, as the act does."""
        with transaction.atomic():
            return write_version(
                act_id=self.act(), team=self.team, taken_by=self.manager, document=document
            )

    def stamp(self) -> int:
        return Team.objects.get(id=self.team).rule_stamp


def make_office(slug: str) -> Office:
    team = Team.objects.create(name=slug, slug=slug)
    person = Person.objects.create_user(f"maud.{slug}-{new_id()}", name="Maud")
    with team_scope(team):
        manager = Membership.objects.create(team=team, person=person, role="manager", name="Maud")
    return Office(team.id, manager.id)


@pytest.fixture
def office(db: None) -> Iterator[Office]:
    """A team's office, its team in force."""
    made = make_office("valley")
    with team_scope(made.team):
        yield made
