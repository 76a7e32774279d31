"""The heart of the house: a check comes in, and what is due moves."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.world import START, World
from trapline.duties.models import Duty
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.record.desk import submit
from trapline.standing.models import Interval, PartStay, SetState

DAY = timedelta(days=1)


def open_duty(world: World, set_id: object) -> Duty:
    with team_scope(world.team):
        found: Duty = Duty.objects.select_related("rule").get(
            set_id=set_id, state__in=("open", "overdue")
        )
        return found


def test_a_placed_snare_is_due_within_the_hours_of_its_strictest_rule(world: World) -> None:
    duty = open_duty(world, world.set("S1"))
    assert duty.due_at == START + timedelta(hours=24)
    assert duty.rule.code == "holding-each-day"
    assert duty.who_id == world.student.member


def test_a_check_in_order_closes_the_duty_and_opens_the_next(world: World) -> None:
    set_id = world.set("S1")
    first = open_duty(world, set_id)
    at = START + timedelta(hours=20)
    world.check(world.student, set_id, at)
    with team_scope(world.team):
        done = Duty.objects.get(id=first.id)
        interval = Interval.objects.get(set_id=set_id)
    assert (done.state, done.done_at) == ("done", at)
    assert open_duty(world, set_id).due_at == at + DAY
    assert interval.nights == pytest.approx(20 / 24)


def test_an_uneventful_check_takes_nine_statements(world: World) -> None:
    set_id = world.set("S1")
    with CaptureQueriesContext(
        connection,
    ) as seen:
        world.check(world.student, set_id, START + timedelta(hours=20))
    said = [
        q["sql"]
        for q in seen
        if not q["sql"].startswith(("SAVEPOINT", "RELEASE", "BEGIN", "COMMIT"))
    ]
    # act, set at hand, rules that apply, check, fold, duty, facts, findings, change count
    assert len(said) == 9, "\n\n".join(said)


def test_a_catch_on_a_snare_spends_the_cable_and_frees_lock_and_swivel(world: World) -> None:
    set_id = world.set("S1")
    submit(
        world.instructor,
        "sign_off",
        {"member": world.instructor.member, "skill": world.skills["dispatch"]},
        at=START,
        now=START,
    )
    submit(
        world.manager,
        "issue_numbers",
        {"licence": world.licence, "kind": "site_tag", "prefix": "N", "first": 1, "last": 50},
        at=START,
        now=START,
    )
    catch = {
        "animal": new_id(),
        "species": world.species["marten"],
        "sex": "male",
        "alive_on_arrival": True,
        "fate": "dispatched",
        "means": "by the team's method",
        "dispatched_by": world.instructor.member,
        "site_tag": "N7",
    }
    at = START + timedelta(hours=22)
    world.check(world.student, set_id, at, found="animal", done=["left"], catches=[catch])
    with team_scope(world.team):
        state = SetState.objects.get(set_id=set_id)
        now = {
            stay.part.kind.role: stay.state
            for stay in PartStay.objects.filter(during__contains=at).select_related("part__kind")
        }
        interval = Interval.objects.get(set_id=set_id)
    assert now == {"cable": "spent", "lock": "inspect", "swivel": "inspect"}
    assert interval.targets == 1
    assert state.last_found == "animal"


def test_a_tagged_catch_on_a_snare_takes_sixteen_statements(world: World) -> None:
    set_id = world.set("S1")
    book = {"licence": world.licence, "kind": "site_tag", "prefix": "N", "first": 1, "last": 50}
    submit(world.manager, "issue_numbers", book, at=START, now=START)
    catch = {
        "animal": new_id(), "species": world.species["marten"], "alive_on_arrival": True,
        "fate": "dispatched", "means": "by the team's method", "site_tag": "N7",
    }  # fmt: skip
    at = START + timedelta(hours=22)
    with CaptureQueriesContext(connection) as seen:
        world.check(world.student, set_id, at, found="animal", catches=[catch])
    said = [
        q["sql"]
        for q in seen
        if not q["sql"].startswith(("SAVEPOINT", "RELEASE", "BEGIN", "COMMIT"))
    ]
    # Those of an uneventful check, and: sign-offs, catch, books, numbers spent, number, parts
    # spent, fold of the parts
    assert len(said) == 16, "\n\n".join(said)
