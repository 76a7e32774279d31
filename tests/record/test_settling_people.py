"""Members come in and change, licences and skills are entered: who may, and what is refused."""

from datetime import timedelta
from typing import Any

import pytest

from tests.record.acting import do, refusal
from tests.world import PASSWORD, START, World
from trapline.ground.errors import NotYours
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.people.models import Licence, Membership, Person, Skill, Team
from trapline.people.rights import access_team
from trapline.record.settling_people import EnrolMember


def new_member(world: World, **other: Any) -> dict[str, Any]:
    return {
        "member": new_id(), "name": "Tove Lind", "sign_in_name": "tove", "role": "member",
        "email": "tove@north.example", "instructor": world.instructor.member, **other,
    }  # fmt: skip


def changed(world: World, **other: Any) -> dict[str, Any]:
    return {
        "member": world.student.member, "role": "member", "instructor": world.instructor.member,
        **other,
    }  # fmt: skip


def licence(world: World, **other: Any) -> dict[str, Any]:
    return {
        "licence": new_id(), "holder": world.student.member, "number": "T-77",
        "authority": "territory", "valid_from": "2025-07-01", "valid_until": "2026-06-30", **other,
    }  # fmt: skip


def member(world: World, key: Any) -> Membership:
    with team_scope(world.team):
        found: Membership = Membership.objects.select_related("person").get(id=key)
        return found


def test_a_new_person_comes_in_without_a_password(world: World) -> None:
    body = new_member(world)
    do(world.manager, "enrol_member", body)
    tove = member(world, body["member"])
    assert (tove.name, tove.role, tove.instructor_id) == (
        "Tove Lind", "member", world.instructor.member,
    )  # fmt: skip
    assert tove.person is not None
    assert (tove.person.sign_in_name, tove.person.email) == ("tove", "tove@north.example")
    assert not tove.person.has_usable_password()
    assert access_team(tove.person, world.slug).member == tove.id


def test_no_act_can_carry_a_password(world: World) -> None:
    assert not any("password" in field for field in EnrolMember.model_fields)
    assert refusal(world.manager, "enrol_member", new_member(world, password="x")) == (
        "body.password", "shape_extra_forbidden",
    )  # fmt: skip


def test_a_person_of_another_team_comes_in_under_the_name_they_have(
    world: World, other_world: World
) -> None:
    body = new_member(world, sign_in_name="SIGNE.South", email="else@north.example")
    do(world.manager, "enrol_member", body)
    person = member(world, body["member"]).person
    assert person == Person.objects.get(pk=str(other_world.student.person))
    # What is theirs stays as they have it.
    assert (person.email, person.check_password(PASSWORD)) == ("Signe@south.example", True)
    assert access_team(person, "south").member == other_world.student.member


def test_the_same_member_enrolled_again_is_changed_and_not_doubled(world: World) -> None:
    body = new_member(world)
    do(world.manager, "enrol_member", body)
    do(world.manager, "enrol_member", {**body, "name": "Tove L. Lind", "role": "instructor"})
    assert (member(world, body["member"]).name, member(world, body["member"]).role) == (
        "Tove L. Lind", "instructor",
    )  # fmt: skip
    assert Person.objects.filter(sign_in_name="tove").count() == 1


@pytest.mark.parametrize("who", ["instructor", "student"])
def test_only_a_manager_enrols_and_changes_members(world: World, who: str) -> None:
    actor = getattr(world, who)
    assert refusal(actor, "enrol_member", new_member(world)) == ("member", "only_managers")
    assert refusal(actor, "change_member", changed(world)) == ("member", "only_managers")
    assert not Person.objects.filter(sign_in_name="tove").exists()


@pytest.mark.parametrize(
    ("other", "field", "code"),
    [
        ({"sign_in_name": "to ve"}, "body.sign_in_name", "shape_string_pattern_mismatch"),
        ({"sign_in_name": ""}, "body.sign_in_name", "shape_string_too_short"),
        ({"email": "tove@"}, "body.email", "shape_value_error"),
        ({"name": "  "}, "body.name", "shape_string_too_short"),
        ({"role": "chief"}, "body.role", "shape_enum"),
        ({"sign_in_name": "signe.NORTH"}, "sign_in_name", "member_already"),
        ({"instructor": new_id()}, "instructor", "waits_for"),
    ],
)
def test_what_does_not_fit_is_refused_at_its_field(
    world: World, other: dict[str, Any], field: str, code: str
) -> None:
    assert refusal(world.manager, "enrol_member", new_member(world, **other)) == (field, code)
    do(world.manager, "enrol_member", new_member(world))


def test_a_membership_stays_with_its_person(world: World) -> None:
    body = new_member(world, member=world.student.member)
    assert refusal(world.manager, "enrol_member", body) == ("sign_in_name", "member_is_another")


@pytest.mark.parametrize("name", ["nobody.yet", "maud.south", "old.hand"])
def test_an_unknown_a_taken_and_a_closed_sign_in_name_look_the_same_to_a_manager(
    world: World, other_world: World, name: str
) -> None:
    Person.objects.create_user("old.hand", None, name="Old hand", is_active=False)
    for email in ("", "Maud@south.example"):
        body = new_member(world, sign_in_name=name, email=email)
        if email:
            body = body | {"sign_in_name": f"{name}.2"}
        do(world.manager, "enrol_member", body)
        with team_scope(world.team):
            row = Membership.objects.get(id=body["member"])
        assert (row.name, row.role, row.ended_at) == (body["name"], body["role"], None)
    assert not Person.objects.get(sign_in_name="old.hand").is_active


def test_a_student_does_not_instruct_nor_does_one_instruct_oneself(world: World) -> None:
    wrong = ("instructor", "instructor_must_lead")
    by_student = new_member(world, instructor=world.student.member)
    assert refusal(world.manager, "enrol_member", by_student) == wrong
    by_self = changed(world, member=world.instructor.member, instructor=world.instructor.member)
    assert refusal(world.manager, "change_member", {**by_self, "role": "instructor"}) == wrong


def test_an_instructor_of_another_team_is_unknown(world: World, other_world: World) -> None:
    body = new_member(world, instructor=other_world.instructor.member)
    assert refusal(world.manager, "enrol_member", body) == ("instructor", "waits_for")


def test_a_member_gets_another_role(world: World) -> None:
    do(world.manager, "change_member", changed(world, role="instructor", instructor=None))
    signe = member(world, world.student.member)
    assert (signe.role, signe.instructor_id) == ("instructor", None)


def test_who_leaves_the_team_is_locked_out_and_may_come_back(world: World) -> None:
    later = START + timedelta(days=1)
    do(world.manager, "change_member", changed(world, ended=True))
    do(world.manager, "change_member", changed(world, ended=True), at=later)
    signe = member(world, world.student.member)
    assert signe.ended_at == START
    with pytest.raises(NotYours):
        access_team(signe.person, world.slug)
    do(world.manager, "change_member", changed(world), at=later)
    assert access_team(signe.person, world.slug).member == signe.id


def test_nobody_leaves_while_sets_are_theirs_to_look_after(world: World) -> None:
    set_id = world.set("S1")
    gone = changed(world, ended=True)
    assert refusal(world.manager, "change_member", gone) == ("ended", "still_responsible")
    do(world.instructor, "hand_over", {"set": set_id, "to": world.instructor.member})
    do(world.manager, "change_member", gone)


@pytest.mark.parametrize(
    ("other", "field"), [({"ended": True}, "ended"), ({"role": "member"}, "role")]
)
def test_an_instructor_with_students_stays_one(
    world: World, other: dict[str, Any], field: str
) -> None:
    body = {"member": world.instructor.member, "role": "instructor", **other}
    assert refusal(world.manager, "change_member", body) == (field, "still_instructs")
    do(world.manager, "change_member", changed(world, instructor=world.manager.member))
    do(world.manager, "change_member", body)


@pytest.mark.parametrize(
    ("other", "field"), [({"ended": True}, "ended"), ({"role": "instructor"}, "role")]
)
def test_the_last_manager_stays(world: World, other: dict[str, Any], field: str) -> None:
    body = {"member": world.manager.member, "role": "manager", **other}
    assert refusal(world.manager, "change_member", body) == (field, "last_manager")
    second = {"member": world.instructor.member, "role": "manager"}
    do(world.manager, "change_member", second)
    do(world.manager, "change_member", body)


def test_a_member_of_another_team_is_unknown(world: World, other_world: World) -> None:
    theirs = changed(world, member=other_world.student.member)
    nobody = changed(world, member=new_id())
    assert refusal(world.manager, "change_member", theirs) == ("member", "waits_for")
    assert refusal(world.manager, "change_member", nobody) == ("member", "waits_for")


def test_a_licence_is_entered_and_corrected(world: World) -> None:
    body = licence(world)
    do(world.instructor, "give_licence", body)
    do(world.instructor, "give_licence", {**body, "number": "T-78", "holder": world.manager.member})
    with team_scope(world.team):
        kept = Licence.objects.get(id=body["licence"])
    assert (kept.number, kept.holder_id, str(kept.valid_until)) == (
        "T-78", world.manager.member, "2026-06-30",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("other", "field", "code"),
    [
        ({"number": "T-north"}, "number", "licence_number_taken"),
        ({"valid_until": "2025-06-30"}, "valid_until", "dates_out_of_order"),
        ({"valid_until": "2026-02-30"}, "body.valid_until", "shape_date_from_datetime_parsing"),
        ({"holder": new_id()}, "holder", "waits_for"),
        ({"number": ""}, "body.number", "shape_string_too_short"),
    ],
)
def test_a_licence_that_does_not_fit_is_refused_at_its_field(
    world: World, other: dict[str, Any], field: str, code: str
) -> None:
    assert refusal(world.instructor, "give_licence", licence(world, **other)) == (field, code)
    do(world.instructor, "give_licence", licence(world))


def test_a_student_enters_no_licence_and_names_no_skill(world: World) -> None:
    skill = {"skill": new_id(), "code": "ice", "name": "Ice"}
    assert refusal(world.student, "give_licence", licence(world)) == ("licence", "only_leaders")
    assert refusal(world.student, "name_skill", skill) == ("skill", "only_leaders")


def test_a_licence_that_a_set_bears_does_not_change_hands(world: World) -> None:
    body = licence(world, licence=world.licence, number="T-north", holder=world.instructor.member)
    moved = {**body, "holder": world.manager.member}
    do(world.instructor, "give_licence", moved)
    do(world.instructor, "give_licence", body)
    world.set("S1")
    assert refusal(world.instructor, "give_licence", moved) == ("holder", "licence_in_use")
    do(world.instructor, "give_licence", {**body, "number": "T-north/2"})


def test_another_kind_of_licence_lets_the_rules_be_reckoned_again(world: World) -> None:
    body = licence(world, licence=world.licence, number="T-north", holder=world.instructor.member)
    stamp = Team.objects.get(id=world.team).rule_stamp
    do(world.instructor, "give_licence", {**body, "authority": "the territory"})
    assert Team.objects.get(id=world.team).rule_stamp == stamp
    do(world.instructor, "give_licence", {**body, "kind": "resident"})
    assert Team.objects.get(id=world.team).rule_stamp == stamp + 1


def test_a_skill_is_named_and_named_anew_but_keeps_its_code(world: World) -> None:
    body = {"skill": new_id(), "code": "on_ice", "name": "Work on ice"}
    do(world.instructor, "name_skill", body)
    do(world.instructor, "name_skill", {**body, "name": "Ice"})
    with team_scope(world.team):
        assert Skill.objects.get(id=body["skill"]).name == "Ice"
    other = {**body, "code": "ice"}
    assert refusal(world.instructor, "name_skill", other) == ("code", "code_stays")
    again = {**body, "skill": new_id()}
    assert refusal(world.instructor, "name_skill", again) == ("code", "code_taken")
