"""The harvest accounts for every animal; what a withdrawn check had answered is asked again."""

from typing import Any
from uuid import UUID

import pytest

from tests.record.acting import do, refusal
from tests.record.phone import AT, HOUR, check
from tests.record.test_alarms_and_searches import ENDS, alarm, caught
from tests.world import World
from trapline.duties.models import Duty, Notice
from trapline.ground.scope import team_scope
from trapline.lines.models import WaitingEnd
from trapline.lines.selectors import ends_in_effect
from trapline.reports.harvest import harvest, not_logged
from trapline.reports.period import Period


def states(world: World, kind: str) -> list[str]:
    with team_scope(world.team):
        rows = Duty.objects.filter(kind=kind).order_by("id")
        return list(rows.values_list("state", flat=True))


def owed(world: World) -> int:
    with team_scope(world.team):
        return not_logged(world.team)


def animals(world: World) -> int:
    with team_scope(world.team):
        return len(list(harvest(world.team, Period()).animals()))


def alarmed(world: World) -> tuple[UUID, UUID]:
    body = alarm(world.set("S1"))
    do(world.student, "animal_waiting", body, at=AT)
    return body["set"], body["waiting"]


@pytest.mark.parametrize("end", ENDS, ids=lambda end: str(end["fate"]))
def test_an_animal_whose_waiting_only_ended_is_owed_to_the_harvest_until_its_catch_is_logged(
    world: World, end: dict[str, Any]
) -> None:
    set_id, waiting = alarmed(world)
    do(world.instructor, "close_waiting", {"waiting": waiting, **end}, at=AT + HOUR)
    if end["fate"] == "got_away":  # there is no animal to account for
        assert owed(world) == 0
        return
    assert (states(world, "log_catch"), owed(world), animals(world)) == (["open"], 1, 0)
    do(world.instructor, "log_check", check(set_id), at=AT + 2 * HOUR)  # of another day's look
    assert owed(world) == 1
    do(world.instructor, "log_check", caught(world, set_id, waiting), at=AT + 3 * HOUR)
    assert (states(world, "log_catch"), owed(world), animals(world)) == (["done"], 0, 1)


def test_the_one_who_ended_the_waiting_is_asked_to_log_the_catch(world: World) -> None:
    _set, waiting = alarmed(world)
    do(world.instructor, "close_waiting", {"waiting": waiting, **ENDS[0]}, at=AT + HOUR)
    with team_scope(world.team):
        duty = Duty.objects.get(kind="log_catch")
    assert (duty.who_id, duty.of_line_id) == (world.instructor.member, world.line)


def test_a_withdrawn_check_that_answered_an_alarm_leaves_the_animal_waiting_and_tells_again(
    world: World,
) -> None:
    set_id, waiting = alarmed(world)
    body = caught(world, set_id, waiting)
    do(world.student, "log_check", body, at=AT + HOUR)
    assert states(world, "animal_waiting") == ["done"]
    withdrawn = {"corrects": body["check"], "withdraw": True}
    do(world.instructor, "correct_check", withdrawn, at=AT + 2 * HOUR)
    assert states(world, "animal_waiting") == ["cancelled", "open"]
    with team_scope(world.team):
        assert not ends_in_effect().exists()
        told = Notice.objects.filter(duty__kind="animal_waiting", duty__state="open")
        assert set(told.values_list("to__name", flat=True)) == {"Ivar", "Maud"}
    do(world.instructor, "close_waiting", {"waiting": waiting, **ENDS[0]}, at=AT + 3 * HOUR)
    assert states(world, "animal_waiting") == ["cancelled", "done"]
    end = {"waiting": waiting, **ENDS[1]}
    wrong = ("waiting", "waiting_ended_before")
    assert refusal(world.instructor, "close_waiting", end, AT + 4 * HOUR) == wrong
    with team_scope(world.team):
        assert WaitingEnd.objects.count() == 2


@pytest.mark.parametrize("says_so", [True, False])
def test_a_corrected_check_still_answers_the_alarm_only_if_it_says_so(
    world: World, says_so: bool
) -> None:
    set_id, waiting = alarmed(world)
    body = caught(world, set_id, waiting)
    do(world.student, "log_check", body, at=AT + HOUR)
    again = caught(world, set_id, waiting)
    if not says_so:
        del again["ends_waiting"]
    do(world.instructor, "correct_check", {"corrects": body["check"], "check": again}, at=AT + HOUR)
    expected = ["done"] if says_so else ["cancelled", "open"]
    assert states(world, "animal_waiting") == expected
    with team_scope(world.team):
        assert ends_in_effect().count() == int(says_so)
    withdrawn = {"corrects": again["check"], "withdraw": True}
    do(world.instructor, "correct_check", withdrawn, at=AT + 2 * HOUR)
    assert states(world, "animal_waiting") == ["cancelled", "open"]


def test_a_withdrawn_catch_of_an_animal_that_waited_is_owed_again(world: World) -> None:
    set_id, waiting = alarmed(world)
    do(world.instructor, "close_waiting", {"waiting": waiting, **ENDS[0]}, at=AT + HOUR)
    body = caught(world, set_id, waiting)
    do(world.student, "log_check", body, at=AT + 2 * HOUR)
    withdrawn = {"corrects": body["check"], "withdraw": True}
    do(world.instructor, "correct_check", withdrawn, at=AT + 3 * HOUR)
    assert (owed(world), animals(world)) == (1, 0)
    assert states(world, "animal_waiting") == ["done"]  # its end was an act of its own
    do(world.student, "log_check", caught(world, set_id, waiting), at=AT + 4 * HOUR)
    assert (owed(world), animals(world)) == (0, 1)
