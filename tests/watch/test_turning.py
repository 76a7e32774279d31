"""Rules that turn by themselves reach the duties, though nobody does anything then."""

from copy import deepcopy
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import pytest

from tests.record.acting import do
from tests.world import RULEBOOK, START, World
from trapline.duties.models import Duty
from trapline.ground.scope import team_scope
from trapline.people.models import Team
from trapline.watch.sweep import sweep
from trapline.watch.turning import turn_rules

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
MIDNIGHT = datetime.fromisoformat("2026-01-06T00:00:00-07:00")


def take(world: World, **more: Any) -> None:
    """Six hours for any set, as `more` narrows it."""
    rule = {
        "code": "six", "authority": "territory", "matter": "check", "form": "within_hours",
        "params": {"hours": 6},
    }  # fmt: skip
    document = deepcopy(RULEBOOK)
    document["rules"].append(rule | more)
    do(world.manager, "take_rulebook", {"document": document})


def due(world: World, set_id: UUID) -> float:
    with team_scope(world.team):
        duty = Duty.objects.get(set_id=set_id, kind="check", state__in=("open", "overdue"))
    return float((duty.due_at - START) / HOUR)


def stamp(world: World) -> int:
    return Team.objects.get(id=world.team).rule_stamp


@pytest.mark.parametrize(
    ("narrowed", "turns_at"),
    [
        ({"holds_from": (START + 2 * HOUR).isoformat()}, START + 2 * HOUR),
        ({"from_day": "01-06", "until_day": "03-01"}, MIDNIGHT),
    ],
)
def test_a_rule_that_begins_by_its_date_moves_what_is_due_from_then_on(
    world: World, narrowed: dict[str, Any], turns_at: datetime
) -> None:
    take(world, **narrowed)
    made = world.set("S1")
    sweep(START)
    sweep(turns_at - timedelta(seconds=1))
    assert due(world, made) == 24
    sweep(turns_at)
    assert due(world, made) == 6


def test_a_rule_that_ends_by_its_date_lets_go(world: World) -> None:
    take(world, from_day="11-01", until_day="01-05")
    made = world.set("S1")
    sweep(START)
    assert due(world, made) == 6
    sweep(MIDNIGHT)
    assert due(world, made) == 24


def test_a_version_taken_in_for_later_binds_when_its_moment_comes(world: World) -> None:
    made = world.set("S1")
    later = deepcopy(RULEBOOK) | {"in_force_from": (START + 2 * HOUR).isoformat()}
    later["rules"][0]["params"] = {"hours": 12}
    do(world.manager, "take_rulebook", {"document": later})
    sweep(START)
    assert due(world, made) == 24
    sweep(START + 2 * HOUR)
    assert due(world, made) == 12


def test_a_turn_is_counted_once_and_nothing_is_counted_without_one(world: World) -> None:
    take(world, holds_from=(START + 2 * HOUR).isoformat())
    assert turn_rules(START) == 0
    before = stamp(world)
    assert turn_rules(START + HOUR) == 0
    assert turn_rules(START + 2 * HOUR) == 1
    assert turn_rules(START + 3 * HOUR) == 0
    assert stamp(world) == before + 1
