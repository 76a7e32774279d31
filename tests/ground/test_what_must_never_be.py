"""What must never be, tried with raw SQL: the database refuses it whoever asks."""

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import IntegrityError, connection, transaction
from psycopg import errors

from tests.world import START, World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.lines.models import Check, Series
from trapline.record.desk import submit
from trapline.standing.models import SetPeriod, SetState

LATER = START + timedelta(hours=20)


def run(statement: str, *values: Any) -> int:
    with connection.cursor() as cursor:
        cursor.execute(statement, values)
        return int(cursor.rowcount)


def never(kind: type[Exception], constraint: str, statement: str, *values: Any) -> None:
    """The statement breaks this constraint; deferred ones are judged as at a commit."""
    with pytest.raises(IntegrityError) as caught, transaction.atomic():
        run(statement, *values)
        run("SET CONSTRAINTS ALL IMMEDIATE")
    cause = caught.value.__cause__
    assert isinstance(cause, errors.IntegrityError)
    assert type(cause) is kind
    assert cause.diag.constraint_name == constraint


def an_act(world: World) -> UUID:
    with team_scope(world.team):
        return UUID(str(Act.objects.values_list("id", flat=True)[0]))


@pytest.mark.django_db(transaction=True)
def test_a_pulled_set_with_an_open_check_duty_fails_at_the_commit(world: World) -> None:
    set_id = world.set("S1")
    with pytest.raises(IntegrityError) as caught, transaction.atomic():
        # Until the commit it may be so: an act does one thing after the other.
        assert run("UPDATE standing_setstate SET active = FALSE WHERE set_id = %s", set_id) == 1
    cause = caught.value.__cause__
    assert isinstance(cause, errors.ForeignKeyViolation)
    assert cause.diag.constraint_name == "duties_duty_pulled_set_has_none"
    with team_scope(world.team):
        assert SetState.objects.get(set_id=set_id).active
    with transaction.atomic():
        run("UPDATE standing_setstate SET active = FALSE WHERE set_id = %s", set_id)
        run(
            "UPDATE duties_duty SET state = 'cancelled', on_active = NULL WHERE set_id = %s", set_id
        )
    with team_scope(world.team):
        assert not SetState.objects.get(set_id=set_id).active


@pytest.mark.django_db(transaction=True)
def test_a_check_duty_cannot_be_opened_on_a_pulled_set(world: World) -> None:
    set_id = world.set("S1")
    submit(world.student, "pull_set", {"set": set_id}, at=LATER, now=LATER)
    opened = (
        "INSERT INTO duties_duty (id, team_id, kind, set_id, of_line_id, on_active, basis_at,"
        " state, stage, stamp) VALUES (%s, %s, 'check', %s, %s, %s, %s, 'open', 0, 1)"
    )
    never(
        errors.ForeignKeyViolation, "duties_duty_pulled_set_has_none", opened,
        new_id(), world.team, set_id, world.line, True, LATER,
    )  # fmt: skip
    # Nor by leaving out what the key rests on.
    never(
        errors.CheckViolation, "duties_duty_open_check_on_active", opened,
        new_id(), world.team, set_id, world.line, None, LATER,
    )  # fmt: skip


PERIOD = (
    "INSERT INTO standing_setperiod (id, team_id, set_id, during, place, placement, device_id,"
    " responsible_id) SELECT %s, team_id, %s, tstzrange(%s, %s), place, placement, device_id,"
    " responsible_id FROM standing_setperiod WHERE set_id = %s LIMIT 1"
)


def test_two_sets_cannot_stand_with_one_device_at_the_same_time(world: World) -> None:
    one, other = world.set("S1"), world.set("S2")
    submit(world.student, "pull_set", {"set": other}, at=LATER, now=LATER)
    never(
        errors.ExclusionViolation, "standing_setperiod_device_in_one_set", PERIOD,
        new_id(), other, LATER, None, one,
    )  # fmt: skip
    # Before the first was placed the device was free.
    before = START - timedelta(days=2)
    run(PERIOD, new_id(), other, before, before + timedelta(days=1), one)


def test_a_set_cannot_stand_in_two_ways_at_the_same_time(world: World) -> None:
    one, other = world.set("S1"), world.set("S2")
    with team_scope(world.team):
        device = world.device("snare", "spare")
        run("UPDATE standing_setperiod SET device_id = %s WHERE set_id = %s", device, other)
        kept = SetPeriod.objects.get(set_id=other)
    run("UPDATE standing_setperiod SET during = tstzrange(%s, %s) WHERE id = %s",
        START, LATER, kept.id)  # fmt: skip
    never(
        errors.ExclusionViolation, "standing_setperiod_one_at_a_time", PERIOD,
        new_id(), one, LATER, None, other,
    )  # fmt: skip


def test_a_part_cannot_be_in_two_places_at_the_same_time(world: World) -> None:
    world.device("snare", "D1")
    stay = (
        "INSERT INTO standing_partstay (id, team_id, part_id, during, state)"
        " SELECT %s, team_id, part_id, tstzrange(%s, NULL), 'stock' FROM standing_partstay LIMIT 1"
    )
    never(errors.ExclusionViolation, "standing_partstay_one_place", stay, new_id(), START)


CATCH = (
    "INSERT INTO lines_catch (id, team_id, act_id, at, check_made_id, animal, species_id, sex, age,"
    " alive_on_arrival, held_where, is_target, fate, means, condition, handed_to, reference,"
    " licence_id, device_tag, site_tag, seal) VALUES (%s, %s, %s, %s, %s, %s, %s, 'male', 'adult',"
    " FALSE, '', TRUE, 'found_dead', '', '', '', '', %s, '', '', '')"
)


@pytest.mark.parametrize(
    ("check", "kind", "constraint"),
    [
        (None, errors.NotNullViolation, None),
        (new_id(), errors.ForeignKeyViolation, "lines_catch_check_made_id_wall"),
    ],
)
def test_a_catch_cannot_be_without_its_check(
    world: World, check: UUID | None, kind: type[Exception], constraint: Any
) -> None:
    made = world.check(world.student, world.set("S1"), LATER)
    ends = (new_id(), world.species["marten"], world.licence)
    row = (new_id(), world.team, an_act(world), LATER)
    never(kind, constraint, CATCH, *row, check, *ends)
    run(CATCH, *row, made, *ends)


def test_a_number_cannot_be_used_twice(world: World) -> None:
    submit(
        world.manager,
        "issue_numbers",
        {"licence": world.licence, "kind": "site_tag", "prefix": "N", "first": 1, "last": 50},
        at=START,
        now=START,
    )
    with team_scope(world.team):
        series = Series.objects.get().id
    spent = (
        "INSERT INTO lines_numberspent (id, team_id, act_id, at, series_id, number, use, animal)"
        " VALUES (%s, %s, %s, %s, %s, %s, %s, %s)"
    )
    row = (world.team, an_act(world), LATER, series)
    run(spent, new_id(), *row, 7, "void", None)
    never(
        errors.UniqueViolation, "lines_numberspent_once", spent,
        new_id(), *row, 7, "used", new_id(),
    )  # fmt: skip
    never(
        errors.CheckViolation, "lines_numberspent_used_on_an_animal", spent,
        new_id(), *row, 8, "used", None,
    )  # fmt: skip
    run(spent, new_id(), *row, 8, "used", new_id())


CHECK = (
    "INSERT INTO lines_check (id, team_id, act_id, at, set_id, by_id, tz, local_date, supervision,"
    " how_seen, found, sign, gone_how, done, placement_seen, reason, note, counts, flags,"
    " corrects_id, withdraws) SELECT %s, team_id, act_id, at, set_id, by_id, tz, local_date,"
    " supervision, how_seen, %s, '', '', done, placement_seen, reason, note, %s, flags, %s, %s"
    " FROM lines_check WHERE id = %s"
)


def test_a_check_cannot_be_corrected_twice(world: World) -> None:
    made = world.check(world.student, world.set("S1"), LATER)
    run(CHECK, new_id(), "in_order", True, made, False, made)
    never(
        errors.UniqueViolation, "lines_check_corrected_once", CHECK,
        new_id(), "in_order", True, made, False, made,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("found", "counts", "withdraws", "constraint"),
    [
        ("not_reached", True, False, "lines_check_not_reached_is_no_visit"),
        ("in_order", False, True, "lines_check_withdraws_something"),
        ("gone", True, False, "lines_check_gone_says_how"),
        ("seen", True, False, "lines_check_found_code"),
    ],
)
def test_a_check_cannot_contradict_itself(
    world: World, found: str, counts: bool, withdraws: bool, constraint: str
) -> None:
    made = world.check(world.student, world.set("S1"), LATER)
    never(errors.CheckViolation, constraint, CHECK, new_id(), found, counts, None, withdraws, made)
    with team_scope(world.team):
        assert Check.objects.count() == 1


@pytest.mark.parametrize("subjects", [0, 2])
def test_a_duty_has_exactly_one_subject(world: World, subjects: int) -> None:
    set_id = world.set("S1")
    given = {0: (None, None), 1: (set_id, None), 2: (set_id, world.line)}
    opened = (
        "INSERT INTO duties_duty (id, team_id, kind, set_id, line_id, of_line_id, basis_at,"
        " state, stage, stamp) VALUES (%s, %s, 'search', %s, %s, %s, %s, 'open', 0, 1)"
    )
    never(
        errors.CheckViolation, "duties_duty_one_subject", opened,
        new_id(), world.team, *given[subjects], world.line, START,
    )  # fmt: skip
    run(opened, new_id(), world.team, *given[1], world.line, START)


def test_a_duty_of_a_set_says_on_which_line_it_is_done(world: World) -> None:
    set_id = world.set("S1")
    opened = (
        "INSERT INTO duties_duty (id, team_id, kind, set_id, of_line_id, basis_at, state, stage,"
        " stamp) VALUES (%s, %s, 'search', %s, %s, %s, 'open', 0, 1)"
    )
    never(
        errors.CheckViolation, "duties_duty_of_a_line", opened,
        new_id(), world.team, set_id, None, START,
    )  # fmt: skip
    run(opened, new_id(), world.team, set_id, world.line, START)


def test_a_set_cannot_have_two_open_check_duties(world: World) -> None:
    set_id = world.set("S1")
    opened = (
        "INSERT INTO duties_duty (id, team_id, kind, set_id, of_line_id, on_active, basis_at,"
        " state, stage, stamp) VALUES (%s, %s, 'check', %s, %s, TRUE, %s, 'open', 0, 1)"
    )
    never(
        errors.UniqueViolation, "duties_duty_one_open_check", opened,
        new_id(), world.team, set_id, world.line, START,
    )  # fmt: skip
