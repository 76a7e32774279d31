"""Who acts in which team; unknown and not theirs are the same."""

from typing import Any

import pytest
from django.contrib.auth.models import AnonymousUser
from django.utils import timezone

from tests.world import World
from trapline.ground.errors import NotYours
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.people.models import Membership, Person
from trapline.people.rights import access_member, access_team, actor_of, teams_of


def person(world: World, who: str = "student") -> Person:
    found: Person = Person.objects.get(pk=str(getattr(world, who).person))
    return found


def test_a_person_acts_in_their_team_with_their_role(world: World) -> None:
    actor = access_team(person(world), "north")
    assert actor == world.student
    assert (actor.leads, actor.manages) == (False, False)
    assert access_team(person(world, "instructor"), "north").leads
    assert access_team(person(world, "manager"), "north").manages


@pytest.mark.parametrize("slug", ["south", "nowhere", "", "NORTH"])
def test_another_team_and_no_team_are_the_same(world: World, other_world: World, slug: str) -> None:
    with pytest.raises(NotYours):
        access_team(person(world), slug)


def test_nobody_acts_without_signing_in(world: World) -> None:
    with pytest.raises(NotYours):
        access_team(AnonymousUser(), "north")


def test_a_membership_that_ended_gives_no_access(world: World) -> None:
    assert [one.team_slug for one in teams_of(person(world))] == ["north"]
    with team_scope(world.team):
        Membership.objects.filter(id=world.student.member).update(ended_at=timezone.now())
    with pytest.raises(NotYours):
        access_team(person(world), "north")
    assert teams_of(person(world)) == []


def test_a_person_who_may_not_sign_in_acts_nowhere(world: World) -> None:
    Person.objects.filter(pk=str(world.student.person)).update(is_active=False)
    with pytest.raises(NotYours):
        access_team(person(world), "north")


def test_a_leader_may_send_for_another_and_a_student_for_nobody(world: World) -> None:
    assert access_member(world.instructor, world.student.member) == world.student
    assert access_member(world.student, None) == world.student
    assert access_member(world.student, world.student.member) == world.student
    with pytest.raises(NotYours):
        access_member(world.student, world.instructor.member)


@pytest.mark.parametrize("whose", ["another team's", "nobody's"])
def test_nobody_may_send_for_a_member_of_another_team(
    world: World, other_world: World, whose: str
) -> None:
    member: Any = other_world.student.member if whose == "another team's" else new_id()
    with pytest.raises(NotYours):
        access_member(world.manager, member)
    with pytest.raises(NotYours):
        actor_of(world.team, member)


def test_sign_in_names_are_one_whatever_their_case(world: World) -> None:
    assert Person.objects.get_by_natural_key("SIGNE.NORTH").id == world.student.person


def test_an_erased_persons_record_keeps_its_name(world: World) -> None:
    with team_scope(world.team):
        Membership.objects.filter(id=world.student.member).update(person=None)
    person_gone = Person.objects.filter(pk=str(world.student.person))
    person_gone.delete()
    assert actor_of(world.team, world.student.member).name == "Signe"
