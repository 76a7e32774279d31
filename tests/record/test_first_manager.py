"""`manage.py first_manager`: a team, the person who runs it, and what every team begins with."""

from collections.abc import Iterator
from io import StringIO
from typing import Any

import pytest
from django.contrib.auth.backends import ModelBackend
from django.core.management import CommandError, call_command

from tests.world import STANDING
from trapline.duties.models import Stage
from trapline.ground.scope import team_scope
from trapline.people.models import Membership, Person, Skill, Team
from trapline.people.rights import access_team
from trapline.record.management.commands import first_manager

PASSWORD = "cedar-lantern-42"
GIVEN = {
    "team": "North Fork class", "address": "north-fork", "name": "Maud Ekholm",
    "sign_in_name": "maud", "email": "maud@fork.example",
}  # fmt: skip
HOUR = 3600

pytestmark = pytest.mark.django_db


def given(monkeypatch: pytest.MonkeyPatch, password: str = PASSWORD, **other: str) -> str:
    """Run it for a script; what it says."""
    monkeypatch.setenv("LINEWARD_PASSWORD", password)
    said = StringIO()
    call_command("first_manager", interactive=False, stdout=said, **(GIVEN | other))
    return said.getvalue()


def teams() -> list[Team]:
    """Those that were made here; two worlds stand in the database from its start."""
    return list(Team.objects.exclude(slug__in=STANDING))


def people() -> list[Person]:
    """Whoever was entered here."""
    return list(
        Person.objects.exclude(email__endswith=("@north.example")).exclude(
            email__endswith="@south.example"
        )
    )


def nothing_was_made() -> bool:
    return not teams() and not people()


def test_the_manager_can_sign_in_and_manages_the_team(monkeypatch: pytest.MonkeyPatch) -> None:
    assert "/t/north-fork/" in given(monkeypatch)
    (person,) = people()
    assert ModelBackend().authenticate(None, "maud", PASSWORD) == person
    actor = access_team(person, "north-fork")
    assert (actor.manages, actor.name) == (True, "Maud Ekholm")


def test_the_team_has_its_skills_and_knows_who_is_told_when(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    given(monkeypatch)
    (team,) = teams()
    with team_scope(team):
        skills = set(Skill.objects.values_list("code", flat=True))
    assert {"snare", "body_gripping", "foothold_coil", "dispatch", "on_ice"} <= skills
    told = {
        kind: list(
            Stage.objects.filter(team=team, kind=kind)
            .order_by("number")
            .values_list("number", "offset_s", "recipient", "channel")
        )
        for kind in ("check", "animal_waiting", "search")
    }
    at_once = [
        (number, 0, who, "email")
        for number, who in enumerate(("responsible", "instructor", "managers"), start=1)
    ]
    assert told == {
        "check": [
            (1, -4 * HOUR, "responsible", "email"),
            (2, 0, "responsible", "email"),
            (3, HOUR, "instructor", "email"),
            (4, 12 * HOUR, "managers", "email"),
        ],
        "animal_waiting": at_once,
        "search": at_once,
    }


def test_answers_come_from_the_environment_too(monkeypatch: pytest.MonkeyPatch) -> None:
    for key, value in GIVEN.items():
        monkeypatch.setenv(f"LINEWARD_{key.upper()}", value)
    monkeypatch.setenv("LINEWARD_PASSWORD", PASSWORD)
    call_command("first_manager", interactive=False, stdout=StringIO())
    assert people()[0].email == "maud@fork.example"


@pytest.mark.parametrize(
    ("wrong", "where", "says"),
    [
        ({"team": "  "}, "--team", "needed"),
        ({"address": "north fork"}, "--address", "letters, digits"),
        ({"sign_in_name": "maud ekholm"}, "--sign-in-name", "letters, digits"),
        ({"email": "maud@"}, "--email", "valid email"),
        ({"password": "12345"}, "LINEWARD_PASSWORD", "too short"),
        ({"password": "12345678901234"}, "LINEWARD_PASSWORD", "entirely numeric"),
        ({"password": ""}, "LINEWARD_PASSWORD", "needed"),
        ({"name": "x" * 121}, "--name", "120"),
    ],
)
def test_a_wrong_answer_is_named_and_nothing_is_made(
    monkeypatch: pytest.MonkeyPatch, wrong: dict[str, Any], where: str, says: str
) -> None:
    with pytest.raises(CommandError) as caught:
        given(monkeypatch, **wrong)
    assert str(caught.value).startswith(where)
    assert says in str(caught.value)
    assert nothing_was_made()


def test_all_wrong_answers_are_named_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(CommandError) as caught:
        given(monkeypatch, password="12345", email="maud@", address="?")
    assert [line.split(" ")[0].rstrip(":") for line in str(caught.value).splitlines()] == [
        "--address", "--email", "LINEWARD_PASSWORD",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("other", "says"),
    [
        ({"sign_in_name": "ida", "email": ""}, "already is a team at north-fork"),
        (
            {"address": "fork", "email": "", "sign_in_name": "MAUD"},
            "already signs in as MAUD",
        ),
        (
            {"address": "fork", "sign_in_name": "ida", "email": "Maud@Fork.example"},
            "belongs to",
        ),
    ],
)
def test_what_is_taken_is_said_and_nothing_more_is_made(
    monkeypatch: pytest.MonkeyPatch, other: dict[str, str], says: str
) -> None:
    given(monkeypatch)
    with pytest.raises(CommandError, match=says):
        given(monkeypatch, **other)
    assert (len(teams()), len(people())) == (1, 1)
    given(monkeypatch, address="fork", sign_in_name="ida", email="")
    assert len(teams()) == 2


class Terminal:
    """Somebody who types these lines."""

    def __init__(self, *lines: str) -> None:
        self.lines: Iterator[str] = iter(lines)
        self.asked: list[str] = []

    def __call__(self, prompt: str = "") -> str:
        self.asked.append(prompt)
        try:
            return next(self.lines)
        except StopIteration:
            raise EOFError from None


def typed(monkeypatch: pytest.MonkeyPatch, *lines: str) -> tuple[Terminal, str]:
    terminal, wrong = Terminal(*lines), StringIO()
    monkeypatch.setattr("builtins.input", terminal)
    monkeypatch.setattr(first_manager, "getpass", terminal)
    call_command("first_manager", stdout=StringIO(), stderr=wrong)
    return terminal, wrong.getvalue()


def test_in_a_terminal_each_thing_is_asked_and_the_address_proposed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    terminal, wrong = typed(
        monkeypatch, "North Fork class", "", "Maud", "maud", "", PASSWORD, PASSWORD
    )
    assert wrong == ""
    assert "[north-fork-class]" in terminal.asked[1]
    assert teams()[0].slug == "north-fork-class"
    assert ModelBackend().authenticate(None, "maud", PASSWORD)


def test_a_wrong_answer_is_asked_for_again_with_a_sentence(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    terminal, wrong = typed(
        monkeypatch, "", "North", "no rth", "north-fork", "Maud", "ma ud", "maud", "maud@", "",
        "short", PASSWORD, "another", PASSWORD, PASSWORD,
    )  # fmt: skip
    assert len(terminal.asked) == 14
    assert [line.strip()[-1] for line in wrong.strip().splitlines()] == ["."] * len(
        wrong.strip().splitlines()
    )
    assert "The two are not the same." in wrong
    assert Membership._base_manager.get(team__slug="north-fork").name == "Maud"


def test_who_leaves_halfway_leaves_nothing_behind(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(CommandError, match="Nothing was made"):
        typed(monkeypatch, "North", "north-fork", "Maud")
    assert nothing_was_made()
