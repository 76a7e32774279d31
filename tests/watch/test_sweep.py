"""The sweep marks what is overdue, dates it when it fell due, and tells each person once."""

from datetime import timedelta

import pytest

from tests.world import START, World
from trapline.duties.models import Duty, Notice, Transition
from trapline.ground.scope import team_scope
from trapline.watch.sweep import sweep

DUE = START + timedelta(hours=24)


def notices(world: World) -> list[tuple[int, str]]:
    with team_scope(world.team):
        return sorted(Notice.objects.values_list("stage", "to__name"))


def test_before_the_first_stage_the_sweep_has_nothing_to_do(world: World) -> None:
    world.set("S1")
    assert sweep(DUE - timedelta(hours=4, seconds=1)) == 0
    assert notices(world) == []


def test_a_set_is_not_overdue_a_second_before_its_due_moment(world: World) -> None:
    world.set("S1")
    sweep(DUE - timedelta(seconds=1))
    with team_scope(world.team):
        assert Duty.objects.get().state == "open"
    assert notices(world) == [(1, "Signe")]


def test_a_set_is_overdue_from_its_due_moment_and_dated_then(world: World) -> None:
    world.set("S1")
    sweep(DUE + timedelta(minutes=50))
    with team_scope(world.team):
        assert Duty.objects.get().state == "overdue"
        turned = Transition.objects.get(now="overdue")
    assert (turned.at, turned.noticed_at) == (DUE, DUE + timedelta(minutes=50))


def test_student_then_instructor_are_told_once_however_often_the_sweep_runs(world: World) -> None:
    world.set("S1")
    for minutes in range(-300, 181, 30):
        sweep(DUE + timedelta(minutes=minutes))
    assert notices(world) == [(1, "Signe"), (2, "Signe"), (3, "Ivar")]


def test_a_check_that_comes_in_before_the_sweep_leaves_nothing_overdue(world: World) -> None:
    set_id = world.set("S1")
    world.check(world.student, set_id, DUE - timedelta(minutes=1))
    sweep(DUE + timedelta(hours=2))
    with team_scope(world.team):
        assert list(Duty.objects.values_list("state", flat=True).order_by("basis_at")) == [
            "done",
            "open",
        ]


def test_who_is_reached_by_several_stages_at_once_is_told_once(world: World) -> None:
    world.set("S1")
    sweep(DUE + timedelta(hours=3))
    assert notices(world) == [(2, "Signe"), (3, "Ivar")]


@pytest.mark.parametrize("hours", [1, 30])
def test_the_sweep_leaves_a_change_count_for_whoever_looks(world: World, hours: int) -> None:
    from trapline.people.models import Team

    world.set("S1")
    before = Team.objects.get(id=world.team).change_count
    taken = sweep(START + timedelta(hours=hours))
    assert (Team.objects.get(id=world.team).change_count > before) == bool(taken)
