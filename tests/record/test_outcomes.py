"""Every way a check can come in has its outcome, and none of them loses it."""

from datetime import timedelta
from typing import Any

import pytest

from tests.record.acting import do
from tests.record.phone import AT, HOUR, became, check, kept, letter, sent
from tests.world import START, World
from trapline.duties.models import Duty, Transition
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.lines.models import Check
from trapline.record.desk import take
from trapline.standing.models import Interval, SetState
from trapline.watch.held import redo_held
from trapline.watch.sweep import sweep

MINUTE = timedelta(minutes=1)


def checks(world: World) -> list[Check]:
    with team_scope(world.team):
        return list(Check.objects.order_by("at"))


def duties(world: World, set_id: Any) -> list[Duty]:
    with team_scope(world.team):
        return list(Duty.objects.filter(set_id=set_id, kind="check").order_by("basis_at", "id"))


def intervals(world: World, set_id: Any) -> list[tuple[float, float]]:
    """From and till, in hours after the set was placed."""
    with team_scope(world.team):
        rows = Interval.objects.filter(set_id=set_id).order_by("till_at")
        return [((row.from_at - START) / HOUR, (row.till_at - START) / HOUR) for row in rows]


# The past, and the order in which acts come in


def test_a_check_from_the_past_counts_when_it_was_made(world: World) -> None:
    set_id = world.set("S1")
    outcome = sent(world, world.student, "log_check", check(set_id), received=AT + 72 * HOUR)
    assert became(outcome) == ("applied", "", "")
    done, open_ = duties(world, set_id)
    assert (done.state, done.done_at) == ("done", AT)
    assert (open_.basis_at, open_.due_at) == (AT, AT + 24 * HOUR)


def test_a_duty_that_a_check_from_the_past_met_too_late_is_dated_by_its_time(
    world: World,
) -> None:
    set_id = world.set("S1")
    received = START + 80 * HOUR
    sent(world, world.student, "log_check", check(set_id), received=received)
    sweep(received)
    assert [one.state for one in duties(world, set_id)] == ["done", "overdue"]
    with team_scope(world.team):
        turned = Transition.objects.get(now="overdue")
    assert (turned.at, turned.noticed_at) == (AT + 24 * HOUR, received)


def test_a_late_check_lands_in_its_place_and_moves_the_duty_it_met(world: World) -> None:
    set_id = world.set("S1")
    now = START + 40 * HOUR
    sent(world, world.student, "log_check", check(set_id), START + 36 * HOUR, received=now)
    assert duties(world, set_id)[0].done_at == START + 36 * HOUR
    sent(world, world.student, "log_check", check(set_id), START + 18 * HOUR, received=now)
    assert intervals(world, set_id) == [(0, 18), (18, 36)]
    met, next_, open_ = duties(world, set_id)
    assert (next_.basis_at, next_.due_at, next_.done_at) == (
        START + 18 * HOUR, START + 42 * HOUR, START + 36 * HOUR,
    )  # fmt: skip
    assert (met.state, met.done_at) == ("done", START + 18 * HOUR)
    assert met.done_at is not None and met.due_at is not None
    assert met.done_at < met.due_at  # it was in time after all
    assert (open_.state, open_.basis_at) == ("open", START + 36 * HOUR)
    with team_scope(world.team):
        assert SetState.objects.get(set_id=set_id).last_visit_at == START + 36 * HOUR


def test_a_late_check_that_did_not_reach_the_set_meets_no_duty(world: World) -> None:
    set_id = world.set("S1")
    now = START + 40 * HOUR
    sent(world, world.student, "log_check", check(set_id), START + 36 * HOUR, received=now)
    storm = check(set_id, found="not_reached", reason="storm")
    sent(world, world.student, "log_check", storm, START + 18 * HOUR, received=now)
    assert intervals(world, set_id) == [(0, 36)]
    assert duties(world, set_id)[0].done_at == START + 36 * HOUR


@pytest.mark.parametrize("order", [(10, 20, 30), (30, 20, 10), (20, 30, 10), (30, 10, 20)])
def test_in_whatever_order_checks_come_in_the_record_comes_to_the_same(
    world: World, order: tuple[int, ...]
) -> None:
    set_id = world.set("S1")
    for hours in order:
        at = START + hours * HOUR
        sent(world, world.student, "log_check", check(set_id), at, received=START + 31 * HOUR)
    assert intervals(world, set_id) == [(0, 10), (10, 20), (20, 30)]
    open_ = [one for one in duties(world, set_id) if one.state == "open"]
    assert [one.basis_at for one in open_] == [START + 30 * HOUR]
    assert duties(world, set_id)[0].done_at == START + 10 * HOUR


# Clocks


@pytest.mark.parametrize("skew", [3600.0, -3600.0, 90.5])
def test_a_skewed_clock_is_corrected_and_the_skew_is_kept(world: World, skew: float) -> None:
    set_id = world.set("S1")
    wall = AT + timedelta(seconds=skew)
    outcome = sent(
        world, world.student, "log_check", check(set_id), wall, received=AT, skew=skew,
        mono_s=12.5, session="boot-7",
    )  # fmt: skip
    assert became(outcome)[0] == "applied"
    act = kept(world, outcome)
    assert (act.wall_at, act.acted_at, act.skew_s, act.clock_flagged) == (wall, AT, skew, False)
    assert (act.mono_s, act.session, act.received_at) == (12.5, "boot-7", AT)
    assert checks(world)[0].at == AT


@pytest.mark.parametrize(("apart", "flagged"), [(119, False), (121, True), (-121, True)])
def test_a_position_whose_time_disagrees_by_over_two_minutes_flags_the_check(
    world: World, apart: int, flagged: bool
) -> None:
    set_id = world.set("S1")
    fix = (AT + timedelta(seconds=apart)).isoformat()
    outcome = sent(world, world.student, "log_check", check(set_id), received=AT, fix_at=fix)
    assert became(outcome)[0] == "applied"
    assert kept(world, outcome).clock_flagged is flagged
    assert checks(world)[0].flags == (["clock_disagrees"] if flagged else [])
    assert checks(world)[0].at == AT  # flagged, never repaired


@pytest.mark.parametrize(
    ("ahead", "state"), [(119, ("applied", "", "")), (121, ("needs_review", "wall_at",
                                                            "time_ahead"))]
)  # fmt: skip
def test_a_time_over_two_minutes_ahead_needs_review(
    world: World, ahead: int, state: tuple[str, str, str]
) -> None:
    set_id = world.set("S1")
    received = AT - timedelta(seconds=ahead)
    outcome = sent(world, world.student, "log_check", check(set_id), received=received)
    assert became(outcome) == state
    assert len(checks(world)) == (state[0] == "applied")
    assert kept(world, outcome).clock_flagged is (state[0] != "applied")


# A set that is no longer, or not yet


def test_a_check_made_before_its_set_was_pulled_is_applied(world: World) -> None:
    set_id = world.set("S1")
    do(world.instructor, "pull_set", {"set": set_id}, at=START + 30 * HOUR)
    outcome = sent(world, world.student, "log_check", check(set_id), received=START + 40 * HOUR)
    assert became(outcome) == ("applied", "", "")
    assert intervals(world, set_id) == [(0, 20)]
    (duty,) = duties(world, set_id)
    # The pull closed the duty when it was overdue; the check had met it in time.
    assert (duty.state, duty.done_at) == ("done", AT)
    with team_scope(world.team):
        assert not SetState.objects.get(set_id=set_id).active


@pytest.mark.parametrize("after", [timedelta(0), MINUTE])
def test_a_check_made_when_its_set_was_pulled_needs_review(world: World, after: timedelta) -> None:
    set_id = world.set("S1")
    do(world.instructor, "pull_set", {"set": set_id}, at=AT)
    outcome = sent(world, world.student, "log_check", check(set_id), AT + after)
    assert became(outcome) == ("needs_review", "set", "set_ended")
    assert checks(world) == []
    assert kept(world, outcome).state == "needs_review"


def test_a_check_made_before_its_set_was_placed_needs_review(world: World) -> None:
    set_id = world.set("S1")
    outcome = sent(world, world.student, "log_check", check(set_id), START - MINUTE)
    assert became(outcome) == ("needs_review", "at", "before_placed")
    assert became(sent(world, world.student, "log_check", check(set_id), START))[0] == "applied"


# Twice


def test_the_same_act_again_is_known_with_the_state_it_has(world: World) -> None:
    set_id = world.set("S1")
    for at, state in ((AT, "applied"), (START - MINUTE, "needs_review")):
        raw = letter(world, "log_check", check(set_id), at)
        assert take(world.student, raw, received_at=AT).state == state
        again = take(world.student, raw, received_at=AT + HOUR)
        assert (again.state, again.was) == ("known", state)
    assert len(checks(world)) == 1
    assert intervals(world, set_id) == [(0, 20)]


def test_the_same_id_with_other_words_is_a_conflict(world: World) -> None:
    set_id, act = world.set("S1"), new_id()
    sent(world, world.student, "log_check", check(set_id), act=act)
    other = sent(world, world.student, "log_check", check(set_id, note="no"), act=act)
    assert became(other) == ("conflict", "id", "id_with_other_content")
    assert [one.note for one in checks(world)] == [""]


def test_one_check_cannot_come_in_by_two_acts(world: World) -> None:
    set_id = world.set("S1")
    body = check(set_id)
    sent(world, world.student, "log_check", body)
    outcome = sent(world, world.student, "log_check", body)
    assert became(outcome) == ("needs_review", "body", "constraint_lines_check_pkey")
    assert len(checks(world)) == 1


# By whom


def test_a_check_of_somebody_elses_set_is_held_like_one_of_no_set(world: World) -> None:
    theirs = world.set("S1", responsible=world.instructor)
    answers = {
        became(sent(world, world.student, "log_check", check(set_id)))
        for set_id in (theirs, new_id())
    }
    assert answers == {("held", "set", "waits_for")}
    assert checks(world) == []


def test_a_check_of_a_set_that_was_handed_over_needs_review(world: World) -> None:
    set_id = world.set("S1")
    over = {"set": set_id, "to": world.instructor.member}
    do(world.instructor, "hand_over", over, at=START + 10 * HOUR)
    outcome = sent(world, world.student, "log_check", check(set_id))
    assert became(outcome) == ("needs_review", "set", "set_not_yours_now")
    assert checks(world) == []


def test_a_check_made_before_the_set_was_handed_over_is_applied(world: World) -> None:
    set_id = world.set("S1")
    over = {"set": set_id, "to": world.instructor.member}
    do(world.instructor, "hand_over", over, at=START + 10 * HOUR)
    outcome = sent(world, world.student, "log_check", check(set_id), START + 9 * HOUR, received=AT)
    assert became(outcome) == ("applied", "", "")
    assert intervals(world, set_id) == [(0, 9)]
    assert duties(world, set_id)[-1].who_id == world.instructor.member


def test_whoever_leads_may_check_any_set(world: World) -> None:
    set_id = world.set("S1")
    for actor in (world.instructor, world.manager):
        assert became(sent(world, actor, "log_check", check(set_id)))[0] == "applied"


def test_an_act_sent_for_a_student_by_the_instructor_is_the_students(world: World) -> None:
    set_id = world.set("S1")
    outcome = sent(
        world, world.instructor, "log_check", check(set_id), acted_by=world.student.member
    )
    act = kept(world, outcome)
    assert (act.acted_by_id, act.sent_by_id) == (world.student.member, world.instructor.member)
    assert checks(world)[0].by_id == world.student.member


def test_a_student_sends_for_nobody(world: World) -> None:
    set_id = world.set("S1")
    outcome = sent(
        world, world.student, "log_check", check(set_id), acted_by=world.instructor.member
    )
    assert became(outcome) == ("held", "acted_by", "waits_for")
    assert checks(world) == []


# What is not there yet, and what cannot be read


def test_a_check_of_a_set_that_is_still_on_its_way_is_applied_when_it_came(world: World) -> None:
    device, set_id = world.device("snare", "D1"), new_id()
    first = sent(world, world.student, "log_check", check(set_id), received=AT)
    assert became(first) == ("held", "set", "waits_for")
    assert kept(world, first).waits_for == set_id
    assert redo_held(AT) == 0
    placing = {
        "set": set_id, "line": world.line, "label": "S1", "licence": world.licence,
        "place": (-128.4, 61.9), "placement": "land", "device": device,
    }  # fmt: skip
    sent(world, world.student, "place_set", placing, START, received=AT)
    assert redo_held(AT + MINUTE) == 1
    assert kept(world, first).state == "applied"
    assert intervals(world, set_id) == [(0, 20)]


def test_an_act_waits_for_those_it_says_it_needs(world: World) -> None:
    set_id, first, second = world.set("S1"), new_id(), new_id()
    held = sent(world, world.student, "log_check", check(set_id), act=second, needs=[first])
    assert became(held) == ("held", "needs", "waits_for")
    assert kept(world, held).waits_for == first
    sent(world, world.student, "log_check", check(set_id), AT - HOUR, received=AT, act=first)
    assert redo_held(AT) == 1
    assert intervals(world, set_id) == [(0, 19), (19, 20)]


def test_what_stays_held_is_shown_to_a_reviewer_after_a_week(world: World) -> None:
    outcome = sent(world, world.student, "log_check", check(new_id()))
    redo_held(AT + timedelta(days=7))
    assert kept(world, outcome).state == "held"
    redo_held(AT + timedelta(days=7) + MINUTE)
    assert kept(world, outcome).state == "needs_review"


@pytest.mark.parametrize(
    ("kind", "body", "more", "field", "code"),
    [
        ("log_cheque", {}, {}, "kind", "unknown_kind"),
        ("log_check", {}, {"version": 2}, "version", "unknown_version"),
        ("log_check", {"found": "fine"}, {}, "body.found", "shape_enum"),
        ("log_check", {"set": "S1"}, {}, "body.set", "shape_uuid_parsing"),
        ("log_check", {"depth": 3}, {}, "body.depth", "shape_extra_forbidden"),
        ("log_check", {"found": "gone"}, {}, "body", "shape_value_error"),
        ("log_check", {"done": ["moved"]}, {}, "body", "shape_value_error"),
        ("log_check", {}, {"wall_at": "2026-01-06T14:00:00"}, "wall_at", "shape_timezone_aware"),
        ("log_check", {}, {"id": "7"}, "id", "shape_uuid_parsing"),
    ],
)
def test_what_cannot_be_read_is_refused_at_its_field_and_not_kept(
    world: World, kind: str, body: dict[str, Any], more: dict[str, Any], field: str, code: str
) -> None:
    set_id = world.set("S1")
    with team_scope(world.team):
        before = Act.objects.count()
    outcome = sent(world, world.student, kind, check(set_id) | body, **more)
    assert became(outcome) == ("refused", field, code)
    with team_scope(world.team):
        assert Act.objects.count() == before
    assert became(sent(world, world.student, "log_check", check(set_id)))[0] == "applied"
