"""Animals waiting, devices dragged off, sets lost: what is due at once, for whom, until when."""

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import pytest

from tests.record.acting import do, refusal
from tests.record.phone import AT, HOUR, became, check, sent
from tests.world import START, World
from trapline.duties.models import Duty, Notice
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.lines.models import Waiting, WaitingEnd
from trapline.standing.models import SetState
from trapline.watch.sweep import sweep


def alarm(set_id: UUID, **said: Any) -> dict[str, Any]:
    return {"waiting": new_id(), "set": set_id, **said}


def duty(world: World, kind: str) -> Duty:
    with team_scope(world.team):
        found: Duty = Duty.objects.get(kind=kind)
        return found


def told(world: World, kind: str) -> set[str]:
    with team_scope(world.team):
        return set(Notice.objects.filter(duty__kind=kind).values_list("to__name", flat=True))


def signed_off(world: World, member: UUID, at: datetime = START) -> None:
    body = {"member": member, "skill": world.skills["dispatch"]}
    do(world.instructor, "sign_off", body, at=at)


# An animal waits


def test_an_alarm_is_due_at_once_and_whoever_must_know_is_told_at_once(world: World) -> None:
    set_id = world.set("S1")
    body = alarm(set_id, species=world.species["lynx"], note="by the left foot")
    do(world.student, "animal_waiting", body, at=AT)
    one = duty(world, "animal_waiting")
    assert (one.state, one.due_at, one.waiting_id) == ("open", AT, body["waiting"])
    assert told(world, "animal_waiting") == {"Ivar", "Maud"}
    with team_scope(world.team):
        assert Waiting.objects.get().note == "by the left foot"


def test_an_alarm_asks_the_finder_when_signed_off_for_dispatch(world: World) -> None:
    set_id = world.set("S1")
    signed_off(world, world.student.member)
    do(world.student, "animal_waiting", alarm(set_id), at=AT)
    assert duty(world, "animal_waiting").who_id == world.student.member
    assert told(world, "animal_waiting") == {"Signe", "Ivar", "Maud"}


@pytest.mark.parametrize("when", ["not yet", "no longer"])
def test_an_alarm_asks_the_instructor_when_the_finder_is_not_signed_off(
    world: World, when: str
) -> None:
    set_id = world.set("S1")
    if when == "not yet":
        signed_off(world, world.student.member, at=AT + HOUR)
    else:
        outcome_at = START + HOUR
        given = do(
            world.instructor,
            "sign_off",
            {"member": world.student.member, "skill": world.skills["dispatch"]},
        )
        do(world.instructor, "end_sign_off", {"sign_off": given.act}, at=outcome_at)
    sent(world, world.student, "animal_waiting", alarm(set_id), AT, received=AT + 2 * HOUR)
    assert duty(world, "animal_waiting").who_id == world.instructor.member


def test_an_alarm_of_someone_without_an_instructor_asks_one_who_leads(world: World) -> None:
    set_id = world.set("S1")
    do(world.manager, "change_member", {"member": world.student.member, "role": "member"})
    do(world.student, "animal_waiting", alarm(set_id), at=AT)
    assert duty(world, "animal_waiting").who_id == world.instructor.member


@pytest.mark.parametrize("since", ["pulled", "handed over"])
def test_an_alarm_is_raised_whatever_the_record_says_of_the_set(world: World, since: str) -> None:
    set_id = world.set("S1")
    if since == "pulled":
        do(world.instructor, "pull_set", {"set": set_id}, at=AT - HOUR)
    else:
        over = {"set": set_id, "to": world.instructor.member}
        do(world.instructor, "hand_over", over, at=AT - HOUR)
    assert became(sent(world, world.student, "animal_waiting", alarm(set_id)))[0] == "applied"
    assert duty(world, "animal_waiting").state == "open"


def test_an_alarm_at_anothers_set_looks_like_one_at_none(world: World) -> None:
    theirs = world.set("S1", responsible=world.instructor)
    for set_id in (theirs, new_id()):
        outcome = sent(world, world.student, "animal_waiting", alarm(set_id))
        assert became(outcome) == ("held", "set", "waits_for")


def test_an_alarm_is_never_marked_overdue_and_its_notices_come_once(world: World) -> None:
    set_id = world.set("S1")
    do(world.student, "animal_waiting", alarm(set_id), at=AT)
    for hours in range(1, 4):
        sweep(AT + hours * HOUR)
    assert duty(world, "animal_waiting").state == "open"
    with team_scope(world.team):
        assert Notice.objects.filter(duty__kind="animal_waiting").count() == 2


ENDS = [
    {"fate": "dispatched", "means": "by the team's method"},
    {"fate": "released", "condition": "unhurt"},
    {"fate": "handed_to", "handed_to": "the officer", "reference": "R-1"},
    {"fate": "got_away"},
]


@pytest.mark.parametrize("end", ENDS, ids=lambda end: str(end["fate"]))
def test_an_alarm_ends_by_what_became_of_the_animal(world: World, end: dict[str, Any]) -> None:
    body = alarm(world.set("S1"))
    do(world.student, "animal_waiting", body, at=AT)
    do(world.instructor, "close_waiting", {"waiting": body["waiting"], **end}, at=AT + HOUR)
    one = duty(world, "animal_waiting")
    assert (one.state, one.done_at, one.next_at) == ("done", AT + HOUR, None)
    with team_scope(world.team):
        assert WaitingEnd.objects.get().fate == end["fate"]


@pytest.mark.parametrize("end", [one for one in ENDS if len(one) > 1], ids=lambda e: str(e["fate"]))
def test_an_end_that_leaves_out_what_it_needs_is_refused(world: World, end: dict[str, Any]) -> None:
    body = alarm(world.set("S1"))
    do(world.student, "animal_waiting", body, at=AT)
    short = {"waiting": body["waiting"], "fate": end["fate"]}
    assert refusal(world.instructor, "close_waiting", short, AT) == ("body", "shape_value_error")
    assert duty(world, "animal_waiting").state == "open"


def test_an_alarm_ends_once(world: World) -> None:
    body = alarm(world.set("S1"))
    do(world.student, "animal_waiting", body, at=AT)
    end = {"waiting": body["waiting"], "fate": "got_away"}
    do(world.student, "close_waiting", end, at=AT)
    wrong = ("waiting", "waiting_ended_before")
    assert refusal(world.student, "close_waiting", end, AT) == wrong
    nothing = {"waiting": new_id(), "fate": "got_away"}
    assert refusal(world.student, "close_waiting", nothing, AT) == ("waiting", "waits_for")


def caught(world: World, set_id: UUID, waiting: Any) -> dict[str, Any]:
    catch = {
        "animal": new_id(), "species": world.species["marten"], "alive_on_arrival": True,
        "fate": "dispatched", "means": "by the team's method",
        "dispatched_by": world.instructor.member,
    }  # fmt: skip
    return check(set_id, found="animal", catches=[catch], ends_waiting=waiting)


@pytest.mark.parametrize("first", ["the check", "the end"])
def test_a_check_with_the_catch_answers_the_alarm_whichever_comes_first(
    world: World, first: str
) -> None:
    set_id = world.set("S1")
    body = alarm(set_id)
    do(world.student, "animal_waiting", body, at=AT)
    end = {"waiting": body["waiting"], "fate": "dispatched", "means": "by the team's method"}
    if first == "the end":
        do(world.instructor, "close_waiting", end, at=AT + HOUR)
    do(world.student, "log_check", caught(world, set_id, body["waiting"]), at=AT + HOUR)
    assert duty(world, "animal_waiting").state == "done"
    with team_scope(world.team):
        assert WaitingEnd.objects.get().fate == "dispatched"


# A device was dragged off


def gone(set_id: UUID, how: str = "dragged_off") -> dict[str, Any]:
    return check(set_id, found="gone", gone_how=how, done=[])


def searches(world: World) -> list[tuple[str, Any]]:
    with team_scope(world.team):
        rows = Duty.objects.filter(kind="search").order_by("basis_at")
        return [(row.state, row.done_at) for row in rows]


def test_a_device_dragged_off_is_to_be_searched_for_at_once(world: World) -> None:
    set_id = world.set("S1")
    at_once = [{"offset_s": 0, "recipient": who} for who in ("responsible", "managers")]
    do(world.manager, "set_notice_stages", {"kind": "search", "stages": at_once})
    do(world.student, "log_check", gone(set_id), at=AT)
    search = duty(world, "search")
    assert (search.state, search.due_at, search.who_id) == ("open", AT, world.student.member)
    assert told(world, "search") == {"Signe", "Maud"}


@pytest.mark.parametrize("how", ["taken", "carried_off", "not_found"])
def test_a_device_that_is_gone_otherwise_opens_no_search(world: World, how: str) -> None:
    do(world.student, "log_check", gone(world.set("S1"), how), at=AT)
    assert searches(world) == []


def test_a_search_goes_on_until_a_look_finds_the_device(world: World) -> None:
    set_id = world.set("S1")
    do(world.student, "log_check", gone(set_id), at=AT)
    do(world.student, "log_check", gone(set_id), at=AT + HOUR)
    storm = check(set_id, found="not_reached", reason="storm")
    do(world.student, "log_check", storm, at=AT + 2 * HOUR)
    assert searches(world) == [("open", None)]
    found = check(set_id, found="damaged", done=["remade"])
    do(world.student, "log_check", found, at=AT + 3 * HOUR)
    assert searches(world) == [("done", AT + 3 * HOUR)]


def test_an_earlier_look_that_comes_in_late_ends_no_search(world: World) -> None:
    set_id = world.set("S1")
    do(world.student, "log_check", gone(set_id), at=AT)
    outcome = sent(world, world.student, "log_check", check(set_id), AT - HOUR, received=AT + HOUR)
    assert became(outcome)[0] == "applied"
    assert searches(world) == [("open", None)]


def test_what_was_found_before_it_was_known_to_be_gone_opens_no_search(world: World) -> None:
    set_id = world.set("S1")
    do(world.student, "log_check", check(set_id, found="damaged"), at=AT)
    outcome = sent(world, world.student, "log_check", gone(set_id), AT - HOUR, received=AT + HOUR)
    assert became(outcome)[0] == "applied"
    assert searches(world) == []


# A set is lost


def lost(world: World, set_id: UUID, at: datetime) -> None:
    do(world.manager, "close_as_lost", {"set": set_id, "note": "spring flood"}, at=at)


def test_a_set_is_closed_as_lost_after_a_search_and_stays_lost(world: World) -> None:
    set_id = world.set("S1")
    do(world.student, "log_check", gone(set_id), at=AT)
    lost(world, set_id, AT + timedelta(days=2))
    with team_scope(world.team):
        state = SetState.objects.get(set_id=set_id)
        still_open = Duty.objects.filter(state__in=("open", "overdue")).count()
    assert (state.active, state.ended, state.ended_at) == (False, "lost", AT + timedelta(days=2))
    assert still_open == 0


def test_a_set_that_nobody_searched_for_is_not_lost(world: World) -> None:
    set_id = world.set("S1")
    wrong = ("set", "lost_needs_a_search")
    do(world.student, "log_check", check(set_id), at=AT)
    assert refusal(world.manager, "close_as_lost", {"set": set_id}, AT) == wrong
    later = gone(set_id, "not_found")
    do(world.student, "log_check", later, at=AT + 2 * HOUR)
    assert refusal(world.manager, "close_as_lost", {"set": set_id}, AT + HOUR) == wrong
    lost(world, set_id, AT + 3 * HOUR)


@pytest.mark.parametrize("away", [{"withdraw": True}, {"check": "in order"}])
def test_a_search_that_was_corrected_away_is_none(world: World, away: dict[str, Any]) -> None:
    set_id = world.set("S1")
    searched = gone(set_id, "not_found")
    do(world.student, "log_check", searched, at=AT)
    if "check" in away:
        away = {"check": check(set_id)}
    do(world.student, "correct_check", {"corrects": searched["check"], **away}, at=AT + HOUR)
    wrong = ("set", "lost_needs_a_search")
    assert refusal(world.manager, "close_as_lost", {"set": set_id}, AT + 2 * HOUR) == wrong


@pytest.mark.parametrize("who", ["instructor", "student"])
def test_only_a_manager_closes_a_set_as_lost(world: World, who: str) -> None:
    set_id = world.set("S1")
    do(world.student, "log_check", gone(set_id), at=AT)
    actor = getattr(world, who)
    assert refusal(actor, "close_as_lost", {"set": set_id}, AT + HOUR) == ("set", "only_managers")


def test_a_set_ends_once(world: World) -> None:
    set_id = world.set("S1")
    do(world.student, "log_check", gone(set_id), at=AT)
    do(world.student, "pull_set", {"set": set_id}, at=AT + HOUR)
    ended = ("set", "set_ended")
    assert refusal(world.student, "pull_set", {"set": set_id}, AT + 2 * HOUR) == ended
    assert refusal(world.manager, "close_as_lost", {"set": set_id}, AT + 2 * HOUR) == ended
