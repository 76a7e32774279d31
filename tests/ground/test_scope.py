"""Without a team in force nothing of a team can be asked for; with one, only its own."""

from typing import Any
from uuid import uuid4

import pytest
from django.apps import apps
from django_scopes import ScopeError

from tests.world import World
from trapline.ground.models import TeamRow
from trapline.ground.scope import NoTeamError, team_scope
from trapline.people.models import Membership, Team

TEAM_MODELS = [model for model in apps.get_models() if issubclass(model, TeamRow)]


@pytest.mark.parametrize("model", TEAM_MODELS, ids=lambda model: model._meta.db_table)
def test_a_teams_rows_cannot_be_asked_for_without_a_team(model: Any) -> None:
    with pytest.raises(ScopeError):
        model.objects.count()
    with pytest.raises(ScopeError):
        model.objects.filter(team_id=uuid4())


@pytest.mark.parametrize("no_team", [None, "", "north", 0, [], object()])
def test_a_scope_without_a_team_is_refused(no_team: Any) -> None:
    with pytest.raises(NoTeamError), team_scope(no_team):
        pytest.fail("the scope was opened")


def test_a_scope_takes_the_team_or_its_key(world: World) -> None:
    for team in (world.team, Team.objects.get(id=world.team)):
        with team_scope(team):
            assert Membership.objects.count() == 3


def test_in_a_scope_another_teams_rows_are_not_there(world: World, other_world: World) -> None:
    theirs = other_world.student.member
    with team_scope(other_world.team):
        assert Membership.objects.filter(id=theirs).exists()
    with team_scope(world.team):
        assert not Membership.objects.filter(id=theirs).exists()
        assert set(Membership.objects.values_list("team_id", flat=True)) == {world.team}


def test_the_scope_ends_with_its_block_also_when_that_fails(world: World) -> None:
    with pytest.raises(ZeroDivisionError), team_scope(world.team):
        raise ZeroDivisionError
    with pytest.raises(ScopeError):
        Membership.objects.count()


def test_a_scope_inside_another_holds_for_its_block_only(world: World, other_world: World) -> None:
    with team_scope(world.team):
        with team_scope(other_world.team):
            assert Membership.objects.filter(id=world.student.member).count() == 0
        assert Membership.objects.filter(id=world.student.member).count() == 1
