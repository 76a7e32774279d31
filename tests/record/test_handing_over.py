"""A set handed over: the duty to look after it moves, the licence never does."""

from typing import Any

import pytest

from tests.record.acting import do, refusal
from tests.record.phone import AT, HOUR, check
from tests.world import START, World
from trapline.duties.models import Duty
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.lines.models import Catch, Set
from trapline.standing.models import SetPeriod, SetState


def over(world: World, set_id: Any, to: Any) -> dict[str, Any]:
    return {"set": set_id, "to": to}


def test_the_open_duty_goes_to_whoever_looks_after_the_set_now(world: World) -> None:
    set_id = world.set("S1")
    do(world.instructor, "hand_over", over(world, set_id, world.instructor.member), at=AT)
    with team_scope(world.team):
        duty = Duty.objects.get(set_id=set_id)
        state = SetState.objects.get(set_id=set_id)
        periods = list(
            SetPeriod.objects.filter(set_id=set_id)
            .order_by("during")
            .values_list("responsible_id", flat=True)
        )
    # No visit was made, so nothing is due later than before.
    assert (duty.who_id, duty.due_at) == (world.instructor.member, START + 24 * HOUR)
    assert state.responsible_id == world.instructor.member
    assert periods == [world.student.member, world.instructor.member]


def test_the_licence_stays_and_animals_count_against_it(world: World) -> None:
    set_id = world.set("S1")
    do(world.instructor, "hand_over", over(world, set_id, world.manager.member), at=AT)
    animal = {
        "animal": new_id(), "species": world.species["marten"], "alive_on_arrival": False,
        "fate": "found_dead",
    }  # fmt: skip
    body = check(set_id, found="animal", catches=[animal])
    do(world.manager, "log_check", body, at=AT + HOUR)
    with team_scope(world.team):
        assert Set.objects.get(id=set_id).licence_id == world.licence
        assert Catch.objects.get().licence_id == world.licence


def test_a_late_hand_over_lands_in_its_place(world: World) -> None:
    set_id = world.set("S1")
    do(world.instructor, "hand_over", over(world, set_id, world.manager.member), at=AT)
    earlier = over(world, set_id, world.instructor.member)
    do(world.instructor, "hand_over", earlier, at=AT - HOUR)
    with team_scope(world.team):
        assert SetState.objects.get(set_id=set_id).responsible_id == world.manager.member
        assert Duty.objects.get(set_id=set_id).who_id == world.manager.member
        assert SetPeriod.objects.filter(set_id=set_id).count() == 3


def test_a_student_hands_nothing_over(world: World) -> None:
    set_id = world.set("S1")
    body = over(world, set_id, world.instructor.member)
    assert refusal(world.student, "hand_over", body, AT) == ("to", "only_leaders")


def test_a_set_goes_only_to_a_member_in_office(world: World, other_world: World) -> None:
    set_id = world.set("S1")
    waits = ("to", "waits_for")
    for nobody in (new_id(), other_world.student.member):
        assert refusal(world.instructor, "hand_over", over(world, set_id, nobody), AT) == waits
    gone = {"member": world.student.member, "role": "member", "ended": True}
    do(world.instructor, "hand_over", over(world, set_id, world.manager.member), at=AT)
    do(world.manager, "change_member", gone, at=AT)
    back = over(world, set_id, world.student.member)
    assert refusal(world.instructor, "hand_over", back, AT + HOUR) == waits


@pytest.mark.parametrize("at", [START - HOUR, AT + HOUR])
def test_a_set_that_does_not_stand_is_not_handed_over(world: World, at: Any) -> None:
    set_id = world.set("S1")
    do(world.instructor, "pull_set", {"set": set_id}, at=AT)
    body = over(world, set_id, world.instructor.member)
    assert refusal(world.instructor, "hand_over", body, at)[1] in ("before_placed", "set_ended")
    do(world.instructor, "hand_over", body, at=AT - HOUR)
