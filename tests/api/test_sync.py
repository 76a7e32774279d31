"""A phone's queue over HTTP. What each state means is tested in tests/record/test_sync.py."""

import hashlib
import json
from dataclasses import replace
from datetime import timedelta, timezone
from typing import Any
from uuid import UUID

import pytest

from tests.api.caller import Caller, Cast
from tests.world import START, World
from trapline.ground import clock
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.lines.models import Check
from trapline.record.kinds import KINDS

AT = START + timedelta(hours=20)


def act(world: World, set_id: UUID, **more: Any) -> str:
    """The text of an act as a phone might write it: its own spacing, its own order."""
    said = {
        "body": {"check": str(new_id()), "set": str(set_id), "found": "in_order", "done": ["left"]},
        "wall_at": AT.isoformat(), "team": world.slug, "version": 1, "kind": "log_check",
        "id": str(new_id()), **more,
    }  # fmt: skip
    return json.dumps(said, indent=3, ensure_ascii=False)


def send(caller: Caller, *acts: str, skew: float = 0) -> list[dict[str, Any]]:
    sent_at = clock.now() + timedelta(seconds=skew)
    answer = caller.post("sync/", {"sent_at": sent_at.isoformat(), "acts": list(acts)})
    assert answer.status_code == 200, answer.content
    told: list[dict[str, Any]] = answer.json()["acts"]
    return told


def test_the_bytes_kept_are_those_of_the_string_and_their_hash_is_theirs(
    cast: Cast, world: World
) -> None:
    set_id = world.set("S1")
    body = {"check": str(new_id()), "set": str(set_id), "found": "in_order", "note": "Ål \\ 🐾\n"}
    text = act(world, set_id, body=body)
    (told,) = send(cast.student, text)
    assert (told["state"], told["kept"]) == ("applied", True)
    with team_scope(world.team):
        row = Act.objects.get(id=told["id"])
        assert Check.objects.get().note == "Ål \\ 🐾\n"
    assert bytes(row.body) == text.encode()
    assert bytes(row.sha256) == hashlib.sha256(text.encode()).digest()
    shown = cast.student.get(f"./acts/{told['id']}/").json()
    assert shown["text"] == text
    assert shown["sha256"] == hashlib.sha256(text.encode()).hexdigest()


def test_each_act_of_a_batch_is_answered_in_its_order(cast: Cast, world: World) -> None:
    set_id = world.set("S1")
    good, late = act(world, set_id), act(world, set_id, wall_at="2026-01-01T00:00:00Z")
    other = json.loads(good)
    other["session"] = "other"
    told = send(
        cast.student, good, good, json.dumps(other), act(world, new_id()), late, "{", "[]",
        act(world, set_id, kind="fly"), act(world, set_id, team="south"),
        act(world, set_id, team="nowhere"),
    )  # fmt: skip
    assert [(one["state"], one["kept"]) for one in told] == [
        ("applied", True), ("known", True), ("conflict", False), ("held", True),
        ("needs_review", True), ("refused", False), ("refused", False), ("refused", False),
        ("held", True), ("held", True),
    ]  # fmt: skip
    assert told[1]["was"] == "applied"
    assert [one["field"] for one in told[7]["problems"]] == ["kind"]
    for one in told[-2:]:
        del one["id"]
    assert told[-2] == told[-1]  # another's team and no team look the same
    assert all(problem["detail"] for one in told for problem in one["problems"])


def test_the_skew_of_a_fast_clock_corrects_the_acts_time(cast: Cast, world: World) -> None:
    set_id = world.set("S1")
    (told,) = send(
        cast.student, act(world, set_id, wall_at=(AT + timedelta(hours=2)).isoformat()), skew=7200
    )
    assert told["state"] == "applied"
    with team_scope(world.team):
        assert abs(Check.objects.get().at - AT) < timedelta(seconds=5)
        assert Act.objects.get(id=told["id"]).skew_s == pytest.approx(7200, abs=5)


def test_a_member_reads_what_became_of_their_acts_and_a_leader_settles_them(
    cast: Cast, world: World
) -> None:
    set_id = world.set("S1")
    (told,) = send(cast.student, act(world, set_id, wall_at="2026-01-01T00:00:00Z"))
    (mine,) = cast.student.list("./acts/?state=needs_review")
    assert (mine["id"], mine["problem"]["code"]) == (told["id"], "before_placed")
    assert cast.student.post(f"./acts/{told['id']}/settle/", {"accept": True}).status_code == 404
    settled = cast.instructor.post(f"./acts/{told['id']}/settle/", {"accept": False, "note": "no"})
    assert settled.status_code == 201, settled.content
    assert cast.student.get(f"./acts/{told['id']}/").json()["state"] == "declined"


@pytest.mark.parametrize(
    ("body", "status", "field"),
    [
        ({}, 400, "sent_at"),
        ({"sent_at": "now", "acts": []}, 400, "sent_at"),
        ({"sent_at": "2026-01-05T00:00:00", "acts": []}, 400, "sent_at"),
        ({"sent_at": "2026-01-05T00:00:00Z", "acts": [{}]}, 400, "acts.0"),
        ({"sent_at": "2026-01-05T00:00:00Z", "acts": ["{}"] * 201}, 400, "acts"),
        ([], 400, "body"),
        (b'{"sent_at": "2026-01-05T00:00:00Z", "acts": [', 400, "body"),
        (b'"' + b"x" * 2 * 1024 * 1024 + b'"', 413, "body"),
    ],
)
def test_a_batch_that_cannot_be_read_is_refused_whole_with_its_field(
    cast: Cast, body: Any, status: int, field: str
) -> None:
    answer = cast.student.post("sync/", body)
    assert answer.status_code == status
    assert field in {one["field"] for one in answer.json()["problems"]}


@pytest.mark.parametrize("text", ["a\\u0000b", "a\\ud800b"])
def test_text_that_no_column_can_keep_refuses_its_act_and_lets_the_next_in(
    cast: Cast, world: World, text: str
) -> None:
    set_id = world.set("S1")
    body = json.dumps({"check": str(new_id()), "set": str(set_id), "found": "in_order"})
    raw = act(world, set_id, body={}).replace(
        '"body": {}', '"body": ' + body[:-1] + f', "note": "{text}"}}'
    )
    told = send(cast.student, raw, act(world, set_id))
    assert [one["state"] for one in told] == ["refused", "applied"]


def test_an_offset_that_iso_8601_allows_and_postgresql_does_not_is_taken(
    cast: Cast, world: World
) -> None:
    wall_at = AT.astimezone(timezone(-timedelta(hours=17, minutes=39)))
    (told,) = send(cast.student, act(world, world.set("S1"), wall_at=wall_at.isoformat()))
    assert told["state"] == "applied"
    with team_scope(world.team):
        assert abs(Check.objects.get().at - AT) < timedelta(seconds=5)


def test_a_fault_of_ours_in_one_act_does_not_hold_up_the_others(
    cast: Cast, world: World, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_given: Any) -> None:
        raise ZeroDivisionError("a fault made for this test")

    waiting = act(
        world, world.set("S1"), kind="animal_waiting",
        body={"waiting": str(new_id()), "set": str(world.set("S2"))},
    )  # fmt: skip
    monkeypatch.setitem(KINDS, "animal_waiting", replace(KINDS["animal_waiting"], apply=broken))
    told = send(cast.student, waiting, act(world, world.set("S3")))
    assert [(one["state"], one["kept"]) for one in told] == [("refused", False), ("applied", True)]
    assert told[0]["problems"][0]["code"] == "server"
    assert "a fault made for this test" in caplog.text
    with team_scope(world.team):
        assert not Act.objects.filter(kind="animal_waiting").exists()
