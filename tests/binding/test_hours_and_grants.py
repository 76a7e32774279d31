"""Hours without tending as a rule of their own, and why a set is due when it is."""

from datetime import timedelta
from typing import Any

from tests.binding.test_applies import HOUR, hours, take
from tests.record.acting import do
from tests.world import START, World
from trapline.binding.why import Why, why
from trapline.binding.world import World as Moment
from trapline.ground.scope import team_scope
from trapline.lines.models import Check
from trapline.rulebook.models import Authority

# The line's clock stands seven hours behind UTC; START is 11:00 there, 24 hours later as well.
MORNING: dict[str, Any] = {
    "code": "no-mornings", "authority": "team", "matter": "tending", "form": "forbidden_hours",
    "params": {"from": "09:00", "to": "12:00"},
}  # fmt: skip


def reasons(world: World, label: str = "S1") -> Why:
    made = world.set(label)
    with team_scope(world.team):
        return why(world.team, made, Moment(START))


def test_a_due_moment_in_forbidden_hours_comes_before_they_begin(world: World) -> None:
    assert hours(world, world.set("Before")) == 24
    take(world, **MORNING)
    assert hours(world, world.set("S1")) == 22


def test_hours_of_two_rules_are_left_one_after_the_other(world: World) -> None:
    early = {**MORNING, "code": "no-early", "params": {"from": "05:00", "to": "09:30"}}
    take(world, **MORNING)
    take_two(world, early)
    assert hours(world, world.set("S1")) == 18


def take_two(world: World, more: dict[str, Any]) -> None:
    from copy import deepcopy

    from tests.world import RULEBOOK

    document = deepcopy(RULEBOOK)
    document["rules"] += [MORNING, more]
    do(world.manager, "take_rulebook", {"document": document}, at=START + timedelta(seconds=1))


def test_the_reasons_say_which_rule_binds_and_which_hours_moved_it(world: World) -> None:
    take(world, **MORNING)
    found = reasons(world)
    assert found.due_at == START + 22 * HOUR
    assert [(one.rule.code, one.standing, one.due_at) for one in found.verdicts] == [
        ("holding-each-day", "binds", START + 22 * HOUR),
        ("no-mornings", "moves", None),
        ("team-two-days", "later", START + 48 * HOUR),
    ]


def test_hours_that_do_not_touch_the_moment_are_named_and_move_nothing(world: World) -> None:
    take(world, **{**MORNING, "params": {"from": "22:00", "to": "05:00"}})
    assert [(one.rule.code, one.standing) for one in reasons(world).verdicts] == [
        ("holding-each-day", "binds"),
        ("team-two-days", "later"),
        ("no-mornings", "hours"),
    ]


def test_hours_without_an_interval_set_no_time(world: World) -> None:
    take(world, **{**MORNING, "placements": ["under_ice"]})
    assert hours(world, world.set("S1")) == 24


def test_a_visit_in_forbidden_hours_is_kept_and_flagged(world: World) -> None:
    take(world, **MORNING)
    made = world.set("S1")
    at_ten, at_noon = START + 23 * HOUR, START + 25 * HOUR
    world.check(world.student, made, at_ten)
    world.check(world.student, made, at_noon)
    with team_scope(world.team):
        flags = list(Check.objects.order_by("at").values_list("flags", flat=True))
    assert flags == [["tended_in_forbidden_hours"], []]


def test_an_extension_is_told_with_the_reasons(world: World) -> None:
    made = world.set("S1")
    with team_scope(world.team):
        territory = Authority.objects.get(code="territory").id
    body = {
        "sets": [made], "authority": territory, "officer": "Ek", "number": "1",
        "until": START + 30 * HOUR,
    }  # fmt: skip
    do(world.manager, "grant_extension", body)
    with team_scope(world.team):
        found = why(world.team, made, Moment(START + HOUR))
    assert [(one.rule.code, one.standing, one.granted) for one in found.verdicts] == [
        ("holding-each-day", "binds", True),
        ("team-two-days", "later", False),
    ]
    assert found.verdicts[0].due_at == START + 30 * HOUR
