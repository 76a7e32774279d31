"""What rules ask of a device, its parts and its loop: each finding, and its absence, at one set-up.

The numbers are invented; the forms are those of rulebook/asks.py.
"""

from datetime import timedelta

import pytest

from tests.findings.scene import codes, found, kind, look, part_kind, rule, sign_off, take
from tests.world import START, World
from trapline.ground.ids import new_id
from trapline.record.desk import submit

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture(autouse=True)
def _signed(world: World) -> None:
    for skill in ("snare", "body_gripping"):
        sign_off(world, skill)


def test_a_set_with_nothing_wrong_has_no_finding(world: World) -> None:
    assert found(world, world.set("A")) == {}
    assert found(world, world.set("B", "body")) == {}


def test_a_forbidden_class_is_found_where_the_rule_holds(world: World) -> None:
    on_land = world.set("A", "body", placement="land")
    raised = world.set("B", "body", placement="elevated")
    take(world, rule("no-body-on-land", "device", "forbidden", {},
                     device_classes=["body_gripping"], placements=["land"]))  # fmt: skip
    assert codes(world, on_land) == {"device_forbidden"}
    assert codes(world, raised) == set()


def test_a_jaw_spread_is_judged_by_the_strictest_bound(world: World) -> None:
    small = kind(world, "small", "foothold_coil", "holding", jaw_spread_m=0.10)
    large = kind(world, "large", "foothold_coil", "holding", jaw_spread_m=0.17)
    unknown = kind(world, "unmeasured", "foothold_coil", "holding")
    sets = [world.set(name, name, targets=[]) for name in (small, large, unknown)]
    wide = rule("wide", "device", "jaw_spread", {"at_least_m": 0.11, "at_most_m": 0.18})
    strict = {**rule("strict", "device", "jaw_spread", {"at_most_m": 0.165}), "authority": "team"}
    take(world, wide)
    assert [set(found(world, one)) for one in sets] == [
        {"jaw_spread:small"}, set(), {"jaw_spread_unknown"},
    ]  # fmt: skip
    take(world, wide, strict, at=START + HOUR)
    assert found(world, sets[1]) == {"jaw_spread:large": {"jaw_spread_m": 0.17, "at_most_m": 0.165}}


def test_a_narrower_rule_of_the_same_authority_stands_in_for_the_wider(world: World) -> None:
    large = kind(world, "large", "foothold_coil", "holding", jaw_spread_m=0.17)
    land = world.set("A", large, targets=[])
    under = world.set("B", large, targets=[], placement="submersion", water_depth_m=1.0,
                      anchoring="slide lock, 8 kg stone")  # fmt: skip
    take(
        world,
        rule("land", "device", "jaw_spread", {"at_most_m": 0.16}),
        rule("under", "device", "jaw_spread", {"at_most_m": 0.19}, placements=["submersion"],
             instead_of=["land"]),
    )  # fmt: skip
    assert codes(world, land) == {"jaw_spread"}
    assert codes(world, under) == set()


def test_a_loop_is_judged_by_its_diameter_and_by_its_height_today(world: World) -> None:
    good = world.set("A", loop_diameter_m=0.20, loop_height_m=0.25, targets=[])
    wide = world.set("B", loop_diameter_m=0.40, loop_height_m=0.25, targets=[])
    low = world.set("C", loop_diameter_m=0.20, loop_height_m=0.05, targets=[])
    bare = world.set("D", targets=[])
    take(
        world,
        rule("wide", "loop", "diameter", {"to_m": 0.30}),
        rule("high", "loop", "height",
             {"from_m": 0.15, "to_m": 0.30, "datum": "surface", "edge": "bottom"}),
        rule("top", "loop", "height", {"to_m": 0.70, "datum": "ground", "edge": "top"}),
    )  # fmt: skip
    assert set(found(world, good)) == set()
    assert set(found(world, wide)) == {"loop_diameter:high"}
    assert set(found(world, low)) == {"loop_height:surface-bottom:low"}
    assert set(found(world, bare)) == {"loop_not_measured:diameter", "loop_not_measured:height"}


def test_a_missing_swivel_breakaway_or_stop_is_found(world: World) -> None:
    part_kind(world, "breakaway", breaking_load_n=1000, breaking_load_source="invented")
    whole = kind(world, "whole", "cable_restraint", "holding", "cable", "lock", "swivel",
                 "breakaway")  # fmt: skip
    bare = kind(world, "bare", "cable_restraint", "holding", "cable", "lock")
    sets = [world.set(name, name, targets=[]) for name in (whole, bare)]
    take(world, *(rule(role, "part", "required", {"role": role})
                  for role in ("swivel", "breakaway", "stop")))  # fmt: skip
    assert set(found(world, sets[0])) == {"part_missing:stop"}
    assert set(found(world, sets[1])) == {
        "no_swivel:swivel", "no_breakaway:breakaway", "part_missing:stop",
    }  # fmt: skip


def test_a_device_whose_parts_nobody_noted_is_not_accused(world: World) -> None:
    bare = kind(world, "bare", "snare", "killing")
    set_id = world.set("A", bare, targets=[])
    take(world, rule("swivel", "part", "required", {"role": "swivel"}))
    assert codes(world, set_id) == {"parts_not_recorded"}


def test_parts_are_weighed_against_what_is_asked(world: World) -> None:
    part_kind(world, "lock", breaking_load_n=1500, breaking_load_source="invented")
    part_kind(world, "breakaway", breaking_load_n=1600, breaking_load_source="invented")
    name = kind(world, "hung", "snare", "killing", "cable", "lock", "swivel", "breakaway")
    set_id = world.set("A", name, targets=[])
    weak = rule("lock", "part", "strength", {"role": "lock", "at_least_n": 2000})
    lets_go = rule("breakaway", "part", "strength", {"role": "breakaway", "at_most_n": 1300})
    swivel = rule("swivel", "part", "strength", {"role": "swivel", "at_least_n": 2000})
    take(world, weak, lets_go, swivel)
    assert found(world, set_id) == {
        "part_weak:lock": {"load_n": 1500, "at_least_n": 2000},
        "breakaway_too_strong:breakaway": {"load_n": 1600, "at_most_n": 1300},
        "load_not_known:swivel": {},
    }
    part_kind(world, "lock", breaking_load_n=2500, breaking_load_source="invented")
    part_kind(world, "breakaway", breaking_load_n=1200, breaking_load_source="invented")
    part_kind(world, "swivel", breaking_load_n=2000, breaking_load_source="invented")
    assert found(world, set_id) == {}


def test_a_part_that_has_served_its_life_is_found_until_it_is_changed(world: World) -> None:
    part_kind(world, "spring", life_nights=10)
    set_id = world.set("A", "body", targets=[])
    look(START + timedelta(days=9))
    assert "part_past_life" not in codes(world, set_id)
    look(START + timedelta(days=10))
    served = found(world, set_id)["part_past_life:spring"]
    assert served == {"nights": 10, "life_nights": 10}
    part_kind(world, "spring", life_nights=30)
    look(START + timedelta(days=11))
    assert "part_past_life" not in codes(world, set_id)


def test_a_catch_spends_the_cable_until_another_snare_stands(world: World) -> None:
    set_id = world.set("A")
    animal = {
        "animal": new_id(), "species": world.species["marten"], "alive_on_arrival": False,
        "fate": "found_dead",
    }  # fmt: skip
    world.check(world.student, set_id, START + HOUR, found="animal", catches=[animal])
    assert codes(world, set_id) == {"cable_spent"}
    again = world.device("snare", "another")
    world.check(world.student, set_id, START + 2 * HOUR, done=["remade"], new_device=again)
    assert codes(world, set_id) == set()


def test_a_part_that_the_kind_is_built_of_and_that_is_gone_is_missing(world: World) -> None:
    name = kind(world, "two", "snare", "killing", "cable", "lock")
    set_id = world.set("A", name, targets=[])
    assert codes(world, set_id) == set()
    body = {
        "kind": world.kinds[name], "name": name, "device_class": "snare", "action": "killing",
        "parts": [{"role": role} for role in ("cable", "lock", "swivel")],
    }  # fmt: skip
    submit(world.manager, "name_device_kind", body, at=START, now=START)
    assert set(found(world, set_id)) == {"part_missing:swivel"}


def test_tag_and_bait_are_asked_for_only_by_a_rule(world: World) -> None:
    bad = world.set("A", bait="fish", bait_in_view=True)
    good = world.set("B", tag="T-1", bait="fish", bait_in_view=False)
    assert codes(world, bad) == set()
    take(world, rule("tag", "tag", "required", {}), rule("bait", "bait", "not_in_view", {}))
    assert codes(world, bad) == {"no_tag", "bait_in_view"}
    assert codes(world, good) == set()


def test_a_rule_removed_and_taken_in_again_gives_the_same_findings(world: World) -> None:
    set_id = world.set("A", bait="fish", bait_in_view=True)
    rules = (rule("tag", "tag", "required", {}), rule("bait", "bait", "not_in_view", {}))
    take(world, *rules)
    first = found(world, set_id)
    take(world, at=START + HOUR)
    assert found(world, set_id) == {}
    take(world, *rules, at=START + 2 * HOUR)
    assert found(world, set_id) == first != {}


def test_a_rule_holds_within_its_effective_dates(world: World) -> None:
    set_id = world.set("A")
    until = (START + 5 * HOUR).isoformat()
    take(world, rule("tag", "tag", "required", {}, holds_until=until))
    assert codes(world, set_id) == {"no_tag"}
    look(START + 5 * HOUR - timedelta(seconds=1))
    assert codes(world, set_id) == {"no_tag"}
    look(START + 5 * HOUR)
    assert codes(world, set_id) == set()
