"""The one-time link by which a person sets a password: who may give it; good once."""

from datetime import timedelta
from uuid import UUID

import pytest
from django.contrib.auth.tokens import default_token_generator
from django.utils.http import urlsafe_base64_decode
from knox.models import AuthToken

from tests.record.acting import do
from tests.world import START, World
from trapline.ground.errors import NeedsReview, NotYours
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.people.models import Membership, Person
from trapline.people.passwords import PasswordLink, password_link
from trapline.people.rights import Actor


def enrolled(world: World, sign_in_name: str = "tove") -> UUID:
    member = new_id()
    body = {"member": member, "name": "Tove", "sign_in_name": sign_in_name, "role": "member"}
    do(world.manager, "enrol_member", body)
    return member


def link(actor: Actor, member: UUID) -> PasswordLink:
    with team_scope(actor.team):
        return password_link(actor, member)


def opens(made: PasswordLink) -> Person | None:
    """Whose password the link sets, if it is still good: as Django's own view asks."""
    person = Person.objects.get(pk=urlsafe_base64_decode(made.uidb64).decode())
    return person if default_token_generator.check_token(person, made.token) else None


def test_a_manager_gives_a_new_member_a_link_that_is_good_once(world: World) -> None:
    made = link(world.manager, enrolled(world))
    person = opens(made)
    assert person is not None
    assert person.sign_in_name == "tove"
    person.set_password("another-lantern-7")
    person.save()
    assert opens(made) is None


def test_who_forgot_the_password_gets_a_link_as_well(world: World) -> None:
    person = opens(link(world.manager, world.student.member))
    assert person is not None
    assert person.pk == world.student.person


@pytest.mark.parametrize("who", ["instructor", "student"])
def test_only_a_manager_gives_links(world: World, who: str) -> None:
    with pytest.raises(NotYours):
        link(getattr(world, who), world.student.member)


def test_a_member_of_another_team_or_none_is_unknown(world: World, other_world: World) -> None:
    for member in (other_world.student.member, new_id()):
        with pytest.raises(NotYours):
            link(world.manager, member)


def test_nobody_gets_into_anothers_team_by_taking_their_people_in(
    world: World, other_world: World
) -> None:
    """South enrols a person who has long been in north: only north may set their password."""
    member = enrolled(other_world, "signe.north")
    with pytest.raises(NeedsReview) as caught:
        link(other_world.manager, member)
    assert caught.value.problem.code == "password_not_yours"
    assert opens(link(world.manager, world.student.member)) is not None


def test_once_a_person_has_left_the_first_team_the_next_may(
    world: World, other_world: World
) -> None:
    member = enrolled(other_world, "signe.north")
    with team_scope(world.team):
        Membership.objects.filter(id=world.student.member).update(
            ended_at=START - timedelta(days=1)
        )
    with pytest.raises(NotYours):
        link(world.manager, world.student.member)
    assert opens(link(other_world.manager, member)) is not None


def test_a_new_password_ends_the_persons_tokens_and_nobody_elses(world: World) -> None:
    me, other = (
        Person.objects.get(pk=str(one.person)) for one in (world.student, world.instructor)
    )
    for person in (me, me, other):
        AuthToken.objects.create(person)
    me.name = "Signe B."
    me.save()
    assert AuthToken.objects.filter(user=me).count() == 2
    me.set_password("another-cedar-lantern-43")
    me.save()
    assert not AuthToken.objects.filter(user=me).exists()
    assert AuthToken.objects.filter(user=other).count() == 1
