"""No row can point into another team: PostgreSQL itself refuses it."""

from datetime import date
from typing import Any
from uuid import UUID

import pytest
from django.db import IntegrityError, transaction
from psycopg import errors

from tests.world import START, World
from trapline.duties.models import Duty, Notice
from trapline.gear.models import Device, KindPart
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.lines.models import Check, Reading, Set, Target
from trapline.people.models import Licence, Membership, SignOff


def act_of(world: World) -> UUID:
    with team_scope(world.team):
        return UUID(str(Act.objects.values_list("id", flat=True)[0]))


def make(world: World, model: Any, **values: Any) -> Any:
    """A row of `world`'s team, as raw as Django lets one be."""
    with team_scope(world.team), transaction.atomic():
        return model.objects.create(team_id=world.team, **values)


def behind_the_wall(world: World, model: Any, **values: Any) -> str:
    """The constraint that refuses the row."""
    with pytest.raises(IntegrityError) as caught:
        make(world, model, **values)
    cause = caught.value.__cause__
    assert isinstance(cause, errors.ForeignKeyViolation)
    return str(cause.diag.constraint_name)


def fact(world: World) -> dict[str, Any]:
    return {"act_id": act_of(world), "at": START}


def check_of(world: World, set_id: UUID) -> dict[str, Any]:
    return {
        **fact(world), "set_id": set_id, "by_id": world.student.member, "tz": "UTC",
        "local_date": date(2026, 1, 5), "how_seen": "at_set", "found": "in_order", "counts": True,
    }  # fmt: skip


def test_a_check_cannot_be_of_another_teams_set(world: World, other_world: World) -> None:
    ours, theirs = world.set("S1"), other_world.set("S1")
    assert behind_the_wall(world, Check, **check_of(world, theirs)) == "lines_check_set_id_wall"
    make(world, Check, **check_of(world, ours))


def test_a_fact_cannot_rest_on_another_teams_act(world: World, other_world: World) -> None:
    values = {"kind_id": world.kinds["snare"], "mark": "D1", "at": START}
    refused = behind_the_wall(world, Device, act_id=act_of(other_world), **values)
    assert refused == "gear_device_act_id_wall"
    make(world, Device, act_id=act_of(world), **values)


def test_a_device_cannot_be_of_another_teams_kind(world: World, other_world: World) -> None:
    values = {**fact(world), "mark": "D1"}
    refused = behind_the_wall(world, Device, kind_id=other_world.kinds["snare"], **values)
    assert refused == "gear_device_kind_id_wall"
    make(world, Device, kind_id=world.kinds["snare"], **values)


def test_a_set_cannot_bear_another_teams_licence(world: World, other_world: World) -> None:
    values = {
        **fact(world), "line_id": world.line, "label": "S9", "placed_by_id": world.student.member,
    }  # fmt: skip
    refused = behind_the_wall(world, Set, licence_id=other_world.licence, **values)
    assert refused == "lines_set_licence_id_wall"
    make(world, Set, licence_id=world.licence, **values)


def test_a_target_cannot_be_another_teams_species(world: World, other_world: World) -> None:
    values = {**fact(world), "set_id": world.set("S1")}
    refused = behind_the_wall(world, Target, species_id=other_world.species["lynx"], **values)
    assert refused == "lines_target_species_id_wall"
    make(world, Target, species_id=world.species["lynx"], **values)


def test_a_reading_cannot_be_taken_on_another_teams_line(world: World, other_world: World) -> None:
    values = {**fact(world), "by_id": world.student.member, "what": "air_c", "value": -20.0}
    refused = behind_the_wall(world, Reading, line_id=other_world.line, **values)
    assert refused == "lines_reading_line_id_wall"
    make(world, Reading, line_id=world.line, **values)


def test_a_member_cannot_answer_to_another_teams_instructor(
    world: World, other_world: World
) -> None:
    values = {"role": "member", "name": "Tove"}
    refused = behind_the_wall(
        world, Membership, instructor_id=other_world.instructor.member, **values
    )
    assert refused == "people_membership_instructor_id_wall"
    make(world, Membership, instructor_id=world.instructor.member, **values)


def test_a_licence_cannot_be_held_by_another_teams_member(world: World, other_world: World) -> None:
    values = {
        "number": "T-9", "authority": "territory", "valid_from": START, "valid_until": START,
    }  # fmt: skip
    refused = behind_the_wall(world, Licence, holder_id=other_world.student.member, **values)
    assert refused == "people_licence_holder_id_wall"
    make(world, Licence, holder_id=world.student.member, **values)


def test_nobody_can_be_signed_off_for_another_teams_skill(world: World, other_world: World) -> None:
    who = {"member_id": world.student.member, "given_by_id": world.instructor.member}
    values = {**who, "given_at": START}
    refused = behind_the_wall(world, SignOff, skill_id=other_world.skills["snare"], **values)
    assert refused == "people_signoff_skill_id_wall"
    make(world, SignOff, skill_id=world.skills["snare"], **values)


def test_a_part_of_a_kind_cannot_be_of_another_teams_kind(world: World, other_world: World) -> None:
    refused = behind_the_wall(world, KindPart, kind_id=other_world.kinds["snare"], role="breakaway")
    assert refused == "gear_kindpart_kind_id_wall"
    make(world, KindPart, kind_id=world.kinds["snare"], role="breakaway")


def test_a_duty_and_a_notice_stay_in_their_team(world: World, other_world: World) -> None:
    theirs = other_world.set("S1")
    times = {"kind": "search", "basis_at": START, "due_at": START}
    duty = {**times, "of_line_id": world.line}
    refused = behind_the_wall(world, Duty, set_id=theirs, **duty)
    assert refused == "duties_duty_set_id_wall"
    here = world.set("S1")
    refused = behind_the_wall(world, Duty, set_id=here, of_line_id=other_world.line, **times)
    assert refused == "duties_duty_of_line_id_wall"
    ours = make(world, Duty, set_id=here, **duty)
    notice = {"duty_id": ours.id, "stage": 1, "channel": "email"}
    times = {"made_at": START, "retry_after": START}
    refused = behind_the_wall(world, Notice, to_id=other_world.student.member, **notice, **times)
    assert refused == "duties_notice_to_id_wall"
    make(world, Notice, to_id=world.student.member, **notice, **times)


def test_a_link_to_a_row_that_is_not_there_is_refused_alike(world: World) -> None:
    assert behind_the_wall(world, Check, **check_of(world, new_id())) == "lines_check_set_id_wall"
