"""Who is told when: stages set anew, and open duties in line with them from then on."""

from datetime import datetime, timedelta
from typing import Any

import pytest

from tests.record.acting import do, refusal
from tests.world import START, World
from trapline.duties.models import Duty, Notice, Stage
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.watch.sweep import sweep

HOUR = timedelta(hours=1)
DUE = START + 24 * HOUR


def stages(*said: tuple[float, str], kind: str = "check") -> dict[str, Any]:
    return {
        "kind": kind,
        "stages": [{"offset_s": int(hours * 3600), "recipient": who} for hours, who in said],
    }


def numbers(world: World, kind: str = "check") -> list[tuple[int, float, str]]:
    rows = Stage.objects.filter(team=world.team, kind=kind).order_by("number")
    return [(row.number, row.offset_s / 3600, row.recipient) for row in rows]


def told(world: World) -> list[tuple[str, float]]:
    """Who was told, and how many hours after the duty fell due."""
    with team_scope(world.team):
        rows = Notice.objects.order_by("made_at", "to__name")
        return [(row.to.name, (row.made_at - DUE) / HOUR) for row in rows.select_related("to")]


def next_at(world: World) -> datetime | None:
    with team_scope(world.team):
        found: Duty = Duty.objects.get(kind="check", state__in=("open", "overdue"))
        return found.next_at


def sweep_hourly(first: float, last: float) -> None:
    """A sweep each half hour, from and to in hours after the duty falls due."""
    for step in range(int(first * 2), int(last * 2) + 1):
        sweep(DUE + step * HOUR / 2)


def test_stages_take_the_place_of_those_there_were_in_order_of_time(world: World) -> None:
    do(world.manager, "set_notice_stages", stages((2, "managers"), (-1, "responsible")))
    assert numbers(world) == [(1, -1.0, "responsible"), (2, 2.0, "managers")]


def test_other_kinds_of_duty_keep_their_stages(world: World) -> None:
    before = numbers(world, "animal_waiting")
    do(world.manager, "set_notice_stages", stages((0, "managers")))
    assert numbers(world, "animal_waiting") == before
    do(world.manager, "set_notice_stages", stages((0, "instructor"), kind="search"))
    assert numbers(world, "search") == [(1, 0.0, "instructor")]


def test_an_open_duty_is_told_of_by_the_new_stages(world: World) -> None:
    world.set("S1")
    do(world.manager, "set_notice_stages", stages((-6, "instructor"), (3, "managers")))
    assert next_at(world) == DUE - 6 * HOUR
    sweep_hourly(-8, 5)
    assert told(world) == [("Ivar", -6), ("Maud", 3)]


def test_a_moment_that_has_passed_is_told_to_nobody(world: World) -> None:
    world.set("S1")
    sweep_hourly(-8, -5)
    at = DUE - 5 * HOUR
    do(world.manager, "set_notice_stages", stages((-6, "managers"), (-2, "responsible")), at=at)
    assert next_at(world) == DUE - 2 * HOUR
    sweep_hourly(-5, 5)
    assert told(world) == [("Signe", -2)]


def test_what_was_told_before_the_change_does_not_swallow_what_comes_after(world: World) -> None:
    """A notice is unique by its duty and stage; the new stages must not meet the old one's."""
    world.set("S1")
    sweep_hourly(-5, -3)
    assert told(world) == [("Signe", -4)]
    at = DUE - 3 * HOUR
    do(world.manager, "set_notice_stages", stages((-1, "responsible"), (0, "responsible")), at=at)
    sweep_hourly(-3, 5)
    assert told(world) == [("Signe", -4), ("Signe", -1), ("Signe", 0)]


def test_what_a_late_sweep_still_owed_is_told_by_the_new_stages(world: World) -> None:
    world.set("S1")
    at = DUE + HOUR / 60  # no sweep has run since it fell due
    do(world.manager, "set_notice_stages", stages((0, "managers"), (2, "instructor")), at=at)
    sweep(at)
    with team_scope(world.team):
        assert Duty.objects.get().state == "overdue"
    assert [name for name, _ in told(world)] == ["Maud"]
    assert next_at(world) == DUE + 2 * HOUR


def test_an_overdue_duty_goes_on_with_the_stages_that_lie_ahead(world: World) -> None:
    world.set("S1")
    sweep_hourly(-5, 2)
    assert told(world) == [("Signe", -4), ("Signe", 0), ("Ivar", 1)]
    at = DUE + 2 * HOUR
    do(world.manager, "set_notice_stages", stages((1, "managers"), (3, "managers")), at=at)
    sweep_hourly(2, 6)
    assert told(world)[3:] == [("Maud", 3)]


def test_without_stages_a_set_is_marked_overdue_and_nobody_is_told(world: World) -> None:
    world.set("S1")
    do(world.manager, "set_notice_stages", stages())
    assert next_at(world) == DUE
    sweep_hourly(-5, 5)
    with team_scope(world.team):
        assert Duty.objects.get().state == "overdue"
    assert told(world) == []
    assert next_at(world) is None
    do(world.manager, "set_notice_stages", stages((7, "managers")), at=DUE + 5 * HOUR)
    sweep_hourly(5, 8)
    assert told(world) == [("Maud", 7)]


def test_an_animal_that_waits_goes_on_with_the_stages_that_lie_ahead(world: World) -> None:
    set_id = world.set("S1")
    do(world.student, "animal_waiting", {"waiting": new_id(), "set": set_id}, at=DUE)
    assert {name for name, _ in told(world)} == {"Ivar", "Maud"}
    later = stages((0, "responsible"), (2, "managers"), kind="animal_waiting")
    do(world.manager, "set_notice_stages", later, at=DUE + HOUR)
    with team_scope(world.team):
        alarm = Duty.objects.get(kind="animal_waiting")
    assert (alarm.state, alarm.next_at) == ("open", DUE + 2 * HOUR)


def test_another_teams_stages_and_duties_stay(world: World, other_world: World) -> None:
    other_world.set("S1")
    before = numbers(other_world), next_at(other_world)
    do(world.manager, "set_notice_stages", stages((-9, "managers")))
    assert (numbers(other_world), next_at(other_world)) == before


@pytest.mark.parametrize("who", ["instructor", "student"])
def test_only_a_manager_sets_stages(world: World, who: str) -> None:
    before = numbers(world)
    body = stages((0, "managers"))
    assert refusal(getattr(world, who), "set_notice_stages", body) == ("kind", "only_managers")
    assert numbers(world) == before


@pytest.mark.parametrize(
    ("body", "field", "code"),
    [
        (stages((0, "everyone")), "body.stages.0.recipient", "shape_enum"),
        (stages((0, "managers"), kind="party"), "body.kind", "shape_enum"),
        (stages((24 * 61, "managers")), "body.stages.0.offset_s", "shape_less_than_equal"),
        (stages(*[(n, "managers") for n in range(13)]), "body.stages", "shape_too_long"),
        (stages((0, "managers"), (0, "managers")), "stages.1", "stage_twice"),
    ],
)
def test_stages_that_do_not_fit_are_refused_at_their_field(
    world: World, body: dict[str, Any], field: str, code: str
) -> None:
    before = numbers(world)
    assert refusal(world.manager, "set_notice_stages", body) == (field, code)
    assert numbers(world) == before
