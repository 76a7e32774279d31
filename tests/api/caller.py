"""Calls the API as somebody, with a token, through the whole stack of middleware."""

import json
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from django.test import Client
from knox.models import AuthToken

from tests.world import PASSWORD, World
from trapline.people.models import Membership, Person, Team
from trapline.people.rights import Actor

V1 = "/api/v1/"


@dataclass
class Caller:
    """Somebody with a token; paths are below /api/v1/, or below the team's with a leading dot."""

    token: str | None
    team: str = ""
    client: Client = field(default_factory=Client)

    def __call__(self, method: str, path: str, body: Any = None, **headers: str) -> Any:
        if path.startswith("./"):
            path = f"teams/{self.team}/{path[2:]}"
        sent = {} if self.token is None else {"Authorization": f"Bearer {self.token}"}
        data = body if isinstance(body, bytes) else json.dumps(body, default=str).encode()
        return self.client.generic(
            method,
            path if path.startswith("/") else V1 + path,
            b"" if body is None else data,
            content_type=headers.pop("content_type", "application/json"),
            headers={**sent, **headers},
        )

    def get(self, path: str, **headers: str) -> Any:
        return self("GET", path, **headers)

    def post(self, path: str, body: Any, **headers: str) -> Any:
        return self("POST", path, body, **headers)

    def list(self, path: str) -> list[Any]:
        """The rows, or features, of a list's first page."""
        answer = self.get(path)
        assert answer.status_code == 200, answer.content
        said = answer.json()
        rows: list[Any] = said["features"] if "features" in said else said["results"]
        return rows


def person_of(actor: Actor) -> Person:
    """Who signs in as this member."""
    assert actor.person is not None
    return Person.objects.get(id=actor.person)


def caller_of(actor: Actor) -> Caller:
    """A caller with a fresh token of this member."""
    _row, token = AuthToken.objects.create(person_of(actor))
    return Caller(token, actor.team_slug)


@dataclass
class Cast:
    """Everybody who may try: three of the team, another team's manager, a stranger, no one."""

    manager: Caller
    instructor: Caller
    student: Caller
    other: Caller
    stranger: Caller
    nobody: Caller


def cast_of(world: World, other: World) -> Cast:
    """The cast, each of whom addresses `world`'s team."""
    lone = Team.objects.create(name="Lone", slug="lone")
    person = Person.objects.create_user("stranger", PASSWORD, name="Stranger")
    Membership.objects.create(team=lone, person=person, role="manager", name="Stranger")
    _row, token = AuthToken.objects.create(person)
    theirs = caller_of(other.manager)
    theirs.team = world.slug
    return Cast(
        caller_of(world.manager),
        caller_of(world.instructor),
        caller_of(world.student),
        theirs,
        Caller(token, world.slug),
        Caller(None, world.slug),
    )


def at(text: str) -> datetime:
    """An instant, UTC."""
    return datetime.fromisoformat(text).replace(tzinfo=UTC)
