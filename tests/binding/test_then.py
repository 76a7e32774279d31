"""Which rules bound a set on a date: as the set, its zones and the rulebook stood then."""

from copy import deepcopy
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import pytest

from tests.record.acting import do
from tests.world import RULEBOOK, START, World
from trapline.binding.bind import bind
from trapline.binding.then import Bound, Weighed, rules_that_bound
from trapline.binding.world import World as Moment
from trapline.calc.deadlines import to_datetime
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.rulebook.models import Authority

HOUR = timedelta(hours=1)
DAY = timedelta(days=1)


def rule(code: str, matter: str, form: str, params: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {
        "code": code, "authority": "territory", "matter": matter, "form": form, "params": params,
        **more,
    }  # fmt: skip


def take(world: World, *rules: dict[str, Any], at: datetime = START, **more: Any) -> None:
    document = deepcopy(RULEBOOK) | more
    document["rules"] += rules
    do(world.manager, "take_rulebook", {"document": document}, at=at)


def asked(world: World, set_id: UUID, moment: datetime = START + HOUR) -> Bound:
    with team_scope(world.team):
        return rules_that_bound(world.team, set_id, moment)


def told(world: World, set_id: UUID, moment: datetime = START + HOUR) -> dict[str, Weighed]:
    return {one.rule.code: one for one in asked(world, set_id, moment).rules}


def standings(world: World, set_id: UUID, moment: datetime = START + HOUR) -> dict[str, str]:
    return {code: one.standing for code, one in told(world, set_id, moment).items()}


def test_of_check_intervals_the_earliest_binds_and_the_rest_say_why_not(world: World) -> None:
    found = told(world, world.set("S1"))
    assert {code: one.standing for code, one in found.items()} == {
        "holding-each-day": "binds", "killing-third-day": "apart", "team-two-days": "later",
    }  # fmt: skip
    assert found["killing-third-day"].reasons == ("action",)
    assert found["holding-each-day"].due_at == START + DAY


@pytest.mark.parametrize(
    ("narrowed", "reason"),
    [
        ({"device_classes": ["cage"]}, "device_class"),
        ({"actions": ["killing"]}, "action"),
        ({"placements": ["under_ice"]}, "placement"),
        ({"zones": ["B"]}, "zone"),
        ({"species": ["lynx"]}, "species"),
        ({"licence_kinds": ["resident"]}, "licence_kind"),
        ({"from_day": "02-01", "until_day": "11-30"}, "days"),
        ({"holds_until": (START + HOUR).isoformat()}, "dates"),
        ({"holds_from": (START + 2 * HOUR).isoformat()}, "dates"),
    ],
)
def test_a_rule_that_does_not_apply_says_for_what_reason(
    world: World, narrowed: dict[str, Any], reason: str
) -> None:
    area = {"type": "Polygon", "coordinates": [[[1, 1], [2, 1], [2, 2], [1, 1]]]}
    zones = [*RULEBOOK["zones"], {"code": "B", "name": "Far away", "area": area}]
    take(world, rule("tagged", "tag", "required", {}, **narrowed), zones=zones)
    found = told(world, world.set("S1"))["tagged"]
    assert (found.standing, found.reasons) == ("apart", (reason,))


def test_of_two_limits_the_stricter_binds_whoever_made_it(world: World) -> None:
    trail = {"feature": "trail"}
    take(
        world,
        rule("loop-wide", "loop", "diameter", {"to_m": 0.4}),
        rule("loop-team", "loop", "diameter", {"from_m": 0.1, "to_m": 0.3}, authority="team"),
        rule("trail-15", "setback", "from_feature", trail | {"at_least_m": 15.24}),
        rule(
            "trail-90", "setback", "from_feature", trail | {"at_least_m": 91.44}, authority="team"
        ),
        rule("road-3", "setback", "from_feature", {"feature": "road", "at_least_m": 3}),
    )
    found = told(world, world.set("S1"))
    assert {code: one.standing for code, one in found.items() if one.rule.matter != "check"} == {
        "loop-team": "binds", "loop-wide": "outdone", "road-3": "binds", "trail-15": "outdone",
        "trail-90": "binds",
    }  # fmt: skip
    assert found["trail-15"].by == ("trail-90",)


def test_two_rules_each_strictest_in_one_bound_both_bind(world: World) -> None:
    take(
        world,
        rule("a-low", "loop", "diameter", {"from_m": 0.2, "to_m": 0.4}),
        rule("b-high", "loop", "diameter", {"from_m": 0.1, "to_m": 0.3}),
    )
    found = standings(world, world.set("S1"))
    assert (found["a-low"], found["b-high"]) == ("binds", "binds")


def test_a_narrower_rule_of_the_authority_stands_instead_of_a_wider_one(world: World) -> None:
    take(
        world,
        rule("wide", "setback", "from_feature", {"feature": "trail", "at_least_m": 100}),
        rule(
            "narrow", "setback", "from_feature", {"feature": "trail", "at_least_m": 3},
            placements=["land"], instead_of=["wide"],
        ),
    )  # fmt: skip
    found = told(world, world.set("S1"))
    assert (found["narrow"].standing, found["wide"].standing) == ("binds", "replaced")
    assert found["wide"].by == ("narrow",)


def test_a_moved_set_was_bound_by_where_it_stood_then(world: World) -> None:
    take(world, rule("zone-a", "tag", "required", {}, zones=["A"]))
    made = world.set("S1")
    there = {"place": [-120.0, 61.9], "placement": "under_ice"}
    world.check(world.student, made, START + 3 * DAY, done=["moved"], moved_to=there)
    before, after = START + 2 * DAY, START + 4 * DAY
    assert told(world, made, before)["zone-a"].standing == "binds"
    assert told(world, made, after)["zone-a"].reasons == ("zone",)
    then, now = asked(world, made, before).stood, asked(world, made, after).stood
    assert then is not None
    assert now is not None
    assert (then.placement, now.placement) == ("land", "under_ice")
    assert then.last_visit_at == START
    assert now.last_visit_at == START + 3 * DAY


def test_the_version_and_the_zones_are_those_of_the_moment(world: World) -> None:
    take(world, rule("zone-a", "tag", "required", {}, zones=["A"]))
    made = world.set("S1")
    far = {"type": "Polygon", "coordinates": [[[1, 1], [2, 1], [2, 2], [1, 1]]]}
    take(
        world,
        rule("zone-a", "tag", "required", {}, zones=["A"]),
        at=START + DAY,
        in_force_from=(START + 2 * DAY).isoformat(),
        zones=[{"code": "A", "name": "Elsewhere", "area": far}],
    )
    then, later = asked(world, made), asked(world, made, START + 3 * DAY)
    assert then.version is not None
    assert later.version is not None
    assert (then.version.number, later.version.number) == (2, 3)
    assert standings(world, made)["zone-a"] == "binds"
    assert standings(world, made, START + 3 * DAY)["zone-a"] == "apart"


def test_a_set_that_did_not_stand_then_was_bound_by_nothing(world: World) -> None:
    made = world.set("S1")
    do(world.student, "pull_set", {"set": made}, at=START + DAY)
    for moment in (START - HOUR, START + DAY):
        found = asked(world, made, moment)
        assert (found.stood, found.rules) == (None, ())
    assert asked(world, made, START + DAY - timedelta(microseconds=1)).stood is not None


def test_now_it_says_what_the_duties_were_made_by(world: World) -> None:
    hours = {"from": "09:00", "to": "12:00"}
    take(world, rule("no-mornings", "tending", "forbidden_hours", hours))
    made = world.set("S1")
    with team_scope(world.team):
        us = int(bind(world.team, [made], Moment(START + HOUR)).due_us[0])
    found = told(world, made)
    assert found["holding-each-day"].due_at == to_datetime(us) == START + 22 * HOUR
    assert found["no-mornings"].standing == "moves"


def test_a_season_was_open_or_shut_and_a_closure_by_notice_stands_above_it(world: World) -> None:
    days = {"opens_on": "11-01", "closes_on": "01-06", "closes_by": "12:00"}
    take(world, rule("marten", "season", "each_year", days, species=["marten"]))
    made = world.set("S1")
    noon = datetime.fromisoformat("2026-01-06T12:00:00-07:00")
    just = timedelta(microseconds=1)
    assert standings(world, made, noon - just)["marten"] == "open"
    assert standings(world, made, noon)["marten"] == "shut"
    with team_scope(world.team):
        territory = Authority.objects.get(code="territory").id
    body = {
        "closure": new_id(), "authority": territory, "species": world.species["marten"],
        "zone": "A", "from_at": START + 2 * HOUR, "reference": "Notice 4",
    }  # fmt: skip
    do(world.manager, "close_by_notice", body, at=START + HOUR)
    assert asked(world, made, START + HOUR).closures == ()
    (closed,) = asked(world, made, START + 2 * HOUR).closures
    assert closed.reference == "Notice 4"
