"""A person decides on an act that could not simply be applied; either way it stays in the book."""

from typing import Any
from uuid import UUID

import pytest

from tests.record.acting import do, refusal
from tests.record.phone import AT, HOUR, check, kept, letter, sent
from tests.world import START, World
from trapline.duties.models import Duty
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.lines.models import Check
from trapline.record.desk import take
from trapline.standing.models import Interval


def set_aside(world: World) -> tuple[UUID, UUID]:
    """A set, and a check of it that a handing over made a matter for review."""
    set_id = world.set("S1")
    over = {"set": set_id, "to": world.instructor.member}
    do(world.instructor, "hand_over", over, at=START + 10 * HOUR)
    outcome = sent(world, world.student, "log_check", check(set_id))
    assert outcome.state == "needs_review"
    return set_id, UUID(str(outcome.act))


def decide(act: UUID, accept: bool) -> dict[str, Any]:
    return {"act": act, "accept": accept, "note": "Talked it over."}


def checks(world: World) -> list[Check]:
    with team_scope(world.team):
        return list(Check.objects.all())


def test_an_accepted_act_is_applied_as_it_was_sent_at_its_own_time(world: World) -> None:
    set_id, act = set_aside(world)
    decided = do(world.manager, "settle_act", decide(act, True), at=AT + 2 * HOUR)
    (one,) = checks(world)
    assert (one.at, one.by_id, one.act_id) == (AT, world.student.member, act)
    assert one.flags == ["reviewed"]
    with team_scope(world.team):
        assert Interval.objects.get(set_id=set_id).till_at == AT
        open_ = Duty.objects.get(set_id=set_id, state="open")
    assert open_.due_at == AT + 24 * HOUR
    settled = kept(world, decided)
    assert settled.kind == "settle_act"
    with team_scope(world.team):
        taken = one.act
    assert (taken.state, taken.settled_at, taken.settled_by_id) == (
        "applied", AT + 2 * HOUR, world.manager.member,
    )  # fmt: skip


def test_a_declined_act_is_kept_and_changes_nothing(world: World) -> None:
    set_id, act = set_aside(world)
    do(world.instructor, "settle_act", decide(act, False), at=AT + HOUR)
    assert checks(world) == []
    with team_scope(world.team):
        from trapline.journal.models import Act

        declined = Act.objects.get(id=act)
        assert Duty.objects.get(set_id=set_id).due_at == START + 24 * HOUR
    assert (declined.state, declined.settled_by_id) == ("declined", world.instructor.member)
    assert str(set_id).encode() in bytes(declined.body)


def test_a_phone_that_sends_it_again_is_told_what_became_of_it(world: World) -> None:
    raw = letter(world, "log_check", check(world.set("S1")), START - HOUR)
    first = take(world.student, raw, received_at=AT)
    assert first.state == "needs_review"
    do(world.manager, "settle_act", decide(UUID(str(first.act)), False), at=AT)
    again = take(world.student, raw, received_at=AT + HOUR)
    assert (again.state, again.was) == ("known", "declined")


@pytest.mark.parametrize("accept", [True, False])
def test_only_a_leader_decides(world: World, accept: bool) -> None:
    _, act = set_aside(world)
    body = decide(act, accept)
    assert refusal(world.student, "settle_act", body, AT) == ("act", "only_leaders")


@pytest.mark.parametrize("accept", [True, False])
def test_one_decides_once(world: World, accept: bool) -> None:
    _, act = set_aside(world)
    do(world.manager, "settle_act", decide(act, accept), at=AT)
    again = decide(act, not accept)
    assert refusal(world.manager, "settle_act", again, AT) == ("act", "waits_for")
    assert len(checks(world)) == accept


def test_an_act_of_another_team_and_none_look_the_same(world: World, other_world: World) -> None:
    _, theirs = set_aside(other_world)
    for act in (theirs, new_id()):
        body = decide(act, True)
        assert refusal(world.manager, "settle_act", body, AT) == ("act", "waits_for")
    assert checks(other_world) == []


def test_what_still_cannot_be_applied_stays_for_review_with_the_reason(world: World) -> None:
    """A tag from no book: the reviewer is told, and may issue the book first."""
    set_id = world.set("S1")
    animal = {
        "animal": new_id(), "species": world.species["marten"], "alive_on_arrival": False,
        "fate": "found_dead", "site_tag": "N7",
    }  # fmt: skip
    body = check(set_id, found="animal", catches=[animal])
    act = UUID(str(sent(world, world.student, "log_check", body).act))
    wrong = ("catches.0.site_tag", "number_not_in_book")
    assert refusal(world.manager, "settle_act", decide(act, True), AT) == wrong
    assert checks(world) == []
    book = {"licence": world.licence, "kind": "site_tag", "prefix": "N", "first": 1, "last": 9}
    do(world.manager, "issue_numbers", book, at=AT)
    do(world.manager, "settle_act", decide(act, True), at=AT)
    assert len(checks(world)) == 1


def test_a_check_ahead_of_the_clock_may_be_taken_in_by_a_reviewer(world: World) -> None:
    set_id = world.set("S1")
    outcome = sent(world, world.student, "log_check", check(set_id), AT, received=AT - HOUR)
    assert outcome.state == "needs_review"
    do(world.manager, "settle_act", decide(UUID(str(outcome.act)), True), at=AT - HOUR)
    (one,) = checks(world)
    assert (one.at, one.flags) == (AT, ["reviewed", "clock_disagrees"])


def test_a_held_act_may_be_taken_in_once_what_it_waits_for_is_there(world: World) -> None:
    theirs = world.set("S1", responsible=world.instructor)
    outcome = sent(world, world.student, "log_check", check(theirs))
    assert outcome.state == "held"
    do(world.instructor, "settle_act", decide(UUID(str(outcome.act)), True), at=AT)
    assert [one.by_id for one in checks(world)] == [world.student.member]
