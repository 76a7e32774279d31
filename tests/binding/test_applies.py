"""Which check rules bind a set: what it is made for, and the dates on which a rule is effective."""

from copy import deepcopy
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from tests.record.acting import do
from tests.world import RULEBOOK, START, World
from trapline.binding.bind import bind
from trapline.binding.world import World as Moment
from trapline.calc.deadlines import to_datetime
from trapline.ground.scope import team_scope

HOUR = timedelta(hours=1)


def take(world: World, **more: Any) -> None:
    """The rulebook of the tests with one more rule: six hours for any set, as `more` narrows it."""
    document = deepcopy(RULEBOOK)
    rule = {
        "code": "six", "authority": "territory", "matter": "check", "form": "within_hours",
        "params": {"hours": 6},
    }  # fmt: skip
    document["rules"].append(rule | more)
    do(world.manager, "take_rulebook", {"document": document})


def hours(world: World, set_id: UUID, moment: datetime = START) -> float:
    """Hours from the placing to the due moment in the world of `moment`."""
    with team_scope(world.team):
        found = bind(world.team, [set_id], Moment(moment))
    return (to_datetime(int(found.due_us[0])) - START) / HOUR


def test_a_rule_for_a_species_binds_the_sets_made_for_it_only(world: World) -> None:
    take(world, species=["lynx"])
    marten = world.set("M")
    lynx = world.set("L", targets=[world.species["lynx"]])
    both = world.set("B", targets=[world.species["marten"], world.species["lynx"]])
    assert [hours(world, one) for one in (marten, lynx, both)] == [24, 6, 6]


def test_a_rule_binds_from_its_effective_moment_up_to_its_end(world: World) -> None:
    take(
        world,
        holds_from=(START + HOUR).isoformat(),
        holds_until=(START + 3 * HOUR).isoformat(),
    )
    made, just = world.set("S"), timedelta(microseconds=1)
    given = [
        (START, 24),
        (START + HOUR - just, 24),
        (START + HOUR, 6),
        (START + 3 * HOUR - just, 6),
        (START + 3 * HOUR, 24),
    ]
    for moment, expected in given:
        assert hours(world, made, moment) == expected
