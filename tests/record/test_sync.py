"""A phone's queue: every act answered for good, nothing lost, nothing doubled."""

import hashlib
import json
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from tests.world import START, World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act, Stray
from trapline.lines.models import Check
from trapline.people.models import Person
from trapline.record.desk import Outcome
from trapline.record.sync import receive

AT = START + timedelta(hours=20)


def letter(world: World, set_id: UUID, *, act: UUID | None = None, **more: Any) -> bytes:
    said = {
        "id": str(act or new_id()), "kind": "log_check", "version": 1, "team": world.slug,
        "wall_at": AT.isoformat(),
        "body": {"check": str(new_id()), "set": str(set_id), "found": "in_order", "done": ["left"]},
        **more,
    }  # fmt: skip
    return json.dumps(said, indent=1).encode()


def send(
    world: World, *letters: bytes, skew: float = 0, person: UUID | None = None
) -> list[Outcome]:
    who = Person.objects.get(pk=str(person or world.student.person))
    received = AT + timedelta(minutes=5)
    return receive(who, letters, sent_at=received + timedelta(seconds=skew), received_at=received)


def test_a_check_is_applied_and_its_bytes_are_kept_as_sent(world: World) -> None:
    raw = letter(world, world.set("S1"))
    (outcome,) = send(world, raw)
    assert outcome.state == "applied"
    with team_scope(world.team):
        act = Act.objects.get(id=outcome.act)
    assert bytes(act.body) == raw
    assert bytes(act.sha256) == hashlib.sha256(raw).digest()


def test_the_same_act_twice_is_known_and_counted_once(world: World) -> None:
    raw = letter(world, world.set("S1"))
    assert [one.state for one in send(world, raw, raw)] == ["applied", "known"]
    with team_scope(world.team):
        assert Check.objects.count() == 1


def test_the_same_id_with_other_content_is_a_conflict_and_changes_nothing(world: World) -> None:
    set_id, act = world.set("S1"), new_id()
    first = letter(world, set_id, act=act)
    second = letter(world, set_id, act=act, session="other")
    assert [one.state for one in send(world, first, second)] == ["applied", "conflict"]
    with team_scope(world.team):
        assert bytes(Act.objects.get(id=act).body) == first


def test_a_fast_phone_clock_is_corrected_by_its_measured_skew(world: World) -> None:
    set_id = world.set("S1")
    raw = letter(world, set_id, wall_at=(AT + timedelta(hours=1)).isoformat())
    (outcome,) = send(world, raw, skew=3600)
    with team_scope(world.team):
        act = Act.objects.get(id=outcome.act)
        assert Check.objects.get().at == AT
    assert (act.wall_at - act.acted_at, act.skew_s) == (timedelta(hours=1), 3600)


def test_a_time_ahead_of_the_server_needs_review_and_is_kept(world: World) -> None:
    raw = letter(world, world.set("S1"), wall_at=(AT + timedelta(hours=1)).isoformat())
    (outcome,) = send(world, raw)
    assert (outcome.state, outcome.problems[0].code) == ("needs_review", "time_ahead")
    with team_scope(world.team):
        assert not Check.objects.exists()
        assert bytes(Act.objects.get(id=outcome.act).body) == raw


@pytest.mark.parametrize("team", ["south", "nowhere"])
def test_another_team_and_no_team_look_the_same_and_the_bytes_are_kept(
    world: World, other_world: World, team: str
) -> None:
    raw = letter(world, new_id(), team=team)
    (outcome,) = send(world, raw)
    assert (outcome.state, outcome.problems[0].code) == ("held", "waits_for")
    assert bytes(Stray.objects.get().body) == raw


def test_a_set_of_another_team_and_an_unknown_set_look_the_same(
    world: World, other_world: World
) -> None:
    theirs = other_world.set("S1")
    answers = send(world, letter(world, theirs), letter(world, new_id()))
    assert {(one.state, one.problems[0].field, one.problems[0].code) for one in answers} == {
        ("held", "set", "waits_for")
    }


def test_one_bad_act_does_not_stop_the_others(world: World) -> None:
    set_id = world.set("S1")
    answers = send(world, b"{broken", letter(world, set_id, kind="no_such"), letter(world, set_id))
    assert [one.state for one in answers] == ["refused", "refused", "applied"]
    assert answers[1].problems[0].field == "kind"
