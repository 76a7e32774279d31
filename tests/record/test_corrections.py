"""A correction is a new record beside the one it corrects; the set stands as if it had been so."""

from datetime import datetime
from typing import Any
from uuid import UUID

import pytest

from tests.record.acting import do, refusal
from tests.record.phone import AT, HOUR, check
from tests.world import START, World
from trapline.duties.models import Duty
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.lines.models import Check, NumberSpent
from trapline.standing.models import Interval, PartStay, SetPeriod, SetState

NOW = START + 50 * HOUR


def logged(world: World, set_id: UUID, at: datetime = AT, **said: Any) -> UUID:
    body = check(set_id, **said)
    do(world.student, "log_check", body, at=at)
    return UUID(str(body["check"]))


def corrected(world: World, wrong: UUID, set_id: UUID, **said: Any) -> UUID:
    body = check(set_id, **said)
    do(world.student, "correct_check", {"corrects": wrong, "check": body}, at=NOW)
    return UUID(str(body["check"]))


def withdrawn(world: World, wrong: UUID) -> None:
    do(world.student, "correct_check", {"corrects": wrong, "withdraw": True}, at=NOW)


def state(world: World, set_id: UUID) -> SetState:
    with team_scope(world.team):
        found: SetState = SetState.objects.get(set_id=set_id)
        return found


def open_duty(world: World, set_id: UUID) -> Duty:
    with team_scope(world.team):
        found: Duty = Duty.objects.get(set_id=set_id, kind="check", state__in=("open", "overdue"))
        return found


def hours(world: World, set_id: UUID) -> list[tuple[float, float, str]]:
    with team_scope(world.team):
        rows = Interval.objects.filter(set_id=set_id).order_by("till_at")
        return [((r.from_at - START) / HOUR, (r.till_at - START) / HOUR, r.found) for r in rows]


def parts(world: World) -> list[tuple[str, str]]:
    """Role and state of each part now."""
    with team_scope(world.team):
        rows = PartStay.objects.filter(during__upper_inf=True).select_related("part__kind")
        return sorted((row.part.kind.role, row.state) for row in rows)


def caught(world: World, **said: Any) -> dict[str, Any]:
    return {
        "animal": new_id(), "species": world.species["marten"], "alive_on_arrival": False,
        "fate": "found_dead", **said,
    }  # fmt: skip


WHOLE = [("cable", "built_in"), ("lock", "built_in"), ("swivel", "built_in")]
SPENT = [("cable", "spent"), ("lock", "inspect"), ("swivel", "inspect")]


def test_both_records_stay_and_tell_of_the_same_moment(world: World) -> None:
    set_id = world.set("S1")
    wrong = logged(world, set_id)
    right = corrected(world, wrong, set_id, found="sprung_empty", sign="weather", done=["remade"])
    with team_scope(world.team):
        first, second = Check.objects.get(id=wrong), Check.objects.get(id=right)
    assert (first.found, second.found, second.corrects_id) == ("in_order", "sprung_empty", wrong)
    assert (first.at, second.at, second.flags) == (AT, AT, ["correction"])
    assert hours(world, set_id) == [(0, 20, "sprung_empty")]
    assert state(world, set_id).last_found == "sprung_empty"


def test_a_check_that_was_no_visit_after_all_gives_the_duty_back(world: World) -> None:
    set_id = world.set("S1")
    wrong = logged(world, set_id)
    assert open_duty(world, set_id).due_at == AT + 24 * HOUR
    corrected(world, wrong, set_id, found="not_reached", reason="thin ice")
    assert open_duty(world, set_id).due_at == START + 24 * HOUR
    assert (hours(world, set_id), state(world, set_id).last_visit_at) == ([], START)


def test_a_withdrawn_check_is_as_if_never_made(world: World) -> None:
    set_id = world.set("S1")
    withdrawn(world, logged(world, set_id))
    now = state(world, set_id)
    assert (now.last_check_at, now.last_found, now.visit_by_placing) == (None, "", True)
    assert hours(world, set_id) == []
    with team_scope(world.team):
        duties = Duty.objects.filter(set_id=set_id).order_by("basis_at", "id")
        assert sorted(one.state for one in duties) == ["cancelled", "open"]
    assert open_duty(world, set_id).due_at == START + 24 * HOUR


def test_a_withdrawn_check_in_the_middle_leaves_the_others(world: World) -> None:
    set_id = world.set("S1")
    logged(world, set_id, START + 10 * HOUR)
    wrong = logged(world, set_id, START + 20 * HOUR)
    logged(world, set_id, START + 30 * HOUR)
    withdrawn(world, wrong)
    assert hours(world, set_id) == [(0, 10, "in_order"), (10, 30, "in_order")]
    assert open_duty(world, set_id).due_at == START + 54 * HOUR


def test_a_pull_that_was_none_brings_the_set_and_its_duty_back(world: World) -> None:
    set_id = world.set("S1")
    wrong = logged(world, set_id, done=["pulled"])
    assert not state(world, set_id).active
    corrected(world, wrong, set_id)
    assert state(world, set_id).active
    assert open_duty(world, set_id).due_at == AT + 24 * HOUR


def test_a_move_that_was_none_brings_the_place_back(world: World) -> None:
    set_id = world.set("S1")
    moved = {"place": (-128.39, 61.91), "placement": "water_edge"}
    wrong = logged(world, set_id, done=["moved"], moved_to=moved)
    assert state(world, set_id).placement == "water_edge"
    withdrawn(world, wrong)
    with team_scope(world.team):
        assert SetPeriod.objects.filter(set_id=set_id).count() == 1
    assert (state(world, set_id).placement, state(world, set_id).place.x) == ("land", -128.40)


def test_a_catch_that_was_none_makes_the_device_whole_again(world: World) -> None:
    set_id = world.set("S1")
    wrong = logged(world, set_id, found="animal", catches=[caught(world)])
    assert parts(world) == SPENT
    corrected(world, wrong, set_id)
    assert parts(world) == WHOLE
    with team_scope(world.team):
        assert Interval.objects.get().targets == 0


def test_a_withdrawn_catch_makes_the_device_whole_again(world: World) -> None:
    set_id = world.set("S1")
    withdrawn(world, logged(world, set_id, found="animal", catches=[caught(world)]))
    assert parts(world) == WHOLE


def test_a_catch_told_otherwise_spends_the_parts_once(world: World) -> None:
    set_id = world.set("S1")
    animal = caught(world)
    wrong = logged(world, set_id, found="animal", catches=[animal])
    corrected(world, wrong, set_id, found="animal", catches=[animal | {"sex": "female"}])
    assert parts(world) == SPENT
    with team_scope(world.team):
        assert Interval.objects.get().targets == 1


def test_a_catch_told_otherwise_spends_the_device_that_held_it(world: World) -> None:
    """The check also put a new device there: the animal was in the one before."""
    set_id, fresh = world.set("S1"), world.device("snare", "fresh")
    animal = caught(world)
    said: dict[str, Any] = {"found": "animal", "done": ["remade"], "new_device": fresh}
    wrong = logged(world, set_id, catches=[animal], **said)
    corrected(world, wrong, set_id, catches=[animal | {"sex": "male"}], **said)
    assert parts(world) == sorted(WHOLE + SPENT)
    with team_scope(world.team):
        whole = PartStay.objects.filter(during__upper_inf=True, state="built_in")
        assert {stay.device_id for stay in whole} == {fresh}
    assert state(world, set_id).device_id == fresh


def numbered(world: World) -> None:
    body = {"licence": world.licence, "kind": "site_tag", "prefix": "N", "first": 1, "last": 9}
    do(world.manager, "issue_numbers", body)


def test_a_corrected_catch_keeps_its_number(world: World) -> None:
    numbered(world)
    set_id, animal = world.set("S1"), caught(world, site_tag="N7")
    wrong = logged(world, set_id, found="animal", catches=[animal])
    corrected(world, wrong, set_id, found="animal", catches=[animal | {"sex": "male"}])
    with team_scope(world.team):
        assert NumberSpent.objects.get().animal == animal["animal"]


def test_a_correction_cannot_give_one_number_to_another_animal(world: World) -> None:
    numbered(world)
    set_id, animal = world.set("S1"), caught(world, site_tag="N7")
    wrong = logged(world, set_id, found="animal", catches=[animal])
    other = check(set_id, found="animal", catches=[animal | {"animal": new_id()}])
    assert refusal(world.student, "correct_check", {"corrects": wrong, "check": other}, NOW) == (
        "catches.0.site_tag", "number_spent",
    )  # fmt: skip


def test_a_correction_can_be_corrected_and_the_first_no_more(world: World) -> None:
    set_id = world.set("S1")
    wrong = logged(world, set_id)
    second = corrected(world, wrong, set_id, found="buried")
    body = {"corrects": wrong, "check": check(set_id)}
    assert refusal(world.student, "correct_check", body, NOW) == ("corrects", "corrected_before")
    corrected(world, second, set_id, found="damaged")
    assert hours(world, set_id) == [(0, 20, "damaged")]


def test_a_student_corrects_only_their_own_and_a_leader_any(world: World) -> None:
    set_id = world.set("S1")
    body = check(set_id)
    do(world.instructor, "log_check", body, at=AT)
    fix = {"corrects": body["check"], "check": check(set_id, found="buried")}
    assert refusal(world.student, "correct_check", fix, NOW) == ("corrects", "not_your_check")
    do(world.manager, "correct_check", fix, at=NOW)


def test_a_correction_stays_with_its_set(world: World) -> None:
    set_id, other = world.set("S1"), world.set("S2")
    fix = {"corrects": logged(world, set_id), "check": check(other)}
    assert refusal(world.student, "correct_check", fix, NOW) == ("check.set", "other_set")


@pytest.mark.parametrize("whose", ["nobody's", "another team's"])
def test_a_check_that_is_not_there_waits(world: World, other_world: World, whose: str) -> None:
    set_id = world.set("S1")
    wrong = new_id()
    if whose == "another team's":
        wrong = logged(other_world, other_world.set("S1"))
    fix = {"corrects": wrong, "check": check(set_id)}
    assert refusal(world.manager, "correct_check", fix, NOW) == ("corrects", "waits_for")


@pytest.mark.parametrize("said", [{}, {"withdraw": True, "check": {}}])
def test_a_correction_says_one_thing_or_the_other(world: World, said: dict[str, Any]) -> None:
    set_id = world.set("S1")
    wrong = logged(world, set_id)
    if "check" in said:
        said = said | {"check": check(set_id)}
    assert refusal(world.student, "correct_check", {"corrects": wrong, **said}, NOW) == (
        "body", "shape_value_error",
    )  # fmt: skip
