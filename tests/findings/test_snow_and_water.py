"""Snow, water and ice change a set that nobody touches; so do sizes and species. Data invented."""

from datetime import timedelta

import pytest

from tests.findings.scene import codes, found, kind, read, rule, sign_off, take
from tests.world import START, World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.plans.mending import Deed
from trapline.plans.what_if import Supposed, what_if
from trapline.record.desk import submit

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture(autouse=True)
def _signed(world: World) -> None:
    for skill in ("snare", "body_gripping"):
        sign_off(world, skill)


def test_a_loop_sinks_as_the_snow_rises_until_it_is_raised(world: World) -> None:
    take(world, rule("high", "loop", "height",
                     {"from_m": 0.15, "datum": "surface", "edge": "bottom"}))  # fmt: skip
    set_id = world.set("A", loop_diameter_m=0.1, loop_height_m=0.25, snow_depth_m=0.30, targets=[])
    assert codes(world, set_id) == set()
    read(world, "snow_depth_m", 0.38, START + HOUR)
    assert codes(world, set_id) == set()
    read(world, "snow_depth_m", 0.45, START + 2 * HOUR)
    assert found(world, set_id) == {
        "loop_height:surface-bottom:low": {
            "height_m": 0.1, "loop_height_m": 0.25, "snow_change_m": 0.15, "at_least_m": 0.15,
        }
    }  # fmt: skip
    read(world, "snow_depth_m", 0.60, START + 3 * HOUR)
    assert codes(world, set_id) == {"loop_height", "loop_snowed_in"}
    raised = {"loop_height_m": 0.25}
    world.check(world.student, set_id, START + 4 * HOUR, done=["raised"], raised_to=raised,
                snow_depth_m=0.6)  # fmt: skip
    assert codes(world, set_id) == set()


def test_a_height_above_the_ground_takes_the_snow_beneath_in(world: World) -> None:
    take(world, rule("top", "loop", "height", {"to_m": 0.80, "datum": "ground", "edge": "top"}))
    set_id = world.set("A", loop_diameter_m=0.2, loop_height_m=0.25, snow_depth_m=0.30, targets=[])
    assert codes(world, set_id) == set()  # 0.30 + 0.25 + 0.20
    deep = world.set("B", loop_diameter_m=0.2, loop_height_m=0.25, snow_depth_m=0.40, targets=[])
    assert codes(world, deep) == {"loop_height"}


def test_a_height_above_the_water_follows_the_water_and_no_snow(world: World) -> None:
    take(world, rule("over", "loop", "height",
                     {"from_m": 0.1, "to_m": 0.3, "datum": "water", "edge": "bottom"}))  # fmt: skip
    read(world, "water_level_m", 1.0, START)
    read(world, "snow_depth_m", 0.3, START)
    set_id = world.set("A", placement="water_edge", loop_diameter_m=0.1, loop_height_m=0.2,
                       targets=[])  # fmt: skip
    read(world, "water_level_m", 1.08, START + HOUR)
    read(world, "snow_depth_m", 0.48, START + HOUR)
    assert codes(world, set_id) == set()
    read(world, "water_level_m", 1.15, START + 2 * HOUR)
    assert found(world, set_id) == {
        "loop_height:water-bottom:low": {
            "height_m": 0.05, "loop_height_m": 0.2, "level_change_m": 0.15, "at_least_m": 0.1,
        }
    }  # fmt: skip
    read(world, "water_level_m", 0.85, START + 3 * HOUR)
    assert set(found(world, set_id)) == {"loop_height:water-bottom:high"}
    with team_scope(world.team):
        dry = what_if(world.team, Supposed(START + 2 * HOUR, water_m=-0.3, snow_m=0.02))
    (row,) = dry.sets
    assert row.deeds == (Deed.REHANG,)
    assert row.amount_m == pytest.approx(-0.05)


def test_a_trap_on_the_ground_is_snowed_in_by_a_fall_and_not_one_above(world: World) -> None:
    ground = world.set("A", "body", placement="land", snow_depth_m=0.2, targets=[])
    above = world.set("B", "body", placement="elevated", snow_depth_m=0.2, targets=[])
    read(world, "snow_depth_m", 0.34, START + HOUR)
    assert codes(world, ground) == set()
    read(world, "snow_depth_m", 0.35, START + 2 * HOUR)
    assert set(found(world, ground)) == {"snowed_in"}
    assert codes(world, above) == set()
    world.check(world.student, ground, START + 3 * HOUR)  # dug out: what lay then is the new zero
    assert codes(world, ground) == set()


def test_water_that_falls_leaves_a_set_shallow_and_then_dry(world: World) -> None:
    holding = kind(world, "long", "foothold_long", "holding", jaw_spread_m=0.155)
    read(world, "water_level_m", 2.0, START - HOUR)
    set_id = world.set(
        "A", holding, placement="submersion", water_depth_m=1.0, anchoring="slide lock, stone",
        targets=[],
    )  # fmt: skip
    beaver = {"code": "beaver", "name": "Beaver", "latin": "Castor canadensis", "handling": "keep"}
    from tests.world import RULEBOOK

    take(world, species=[*RULEBOOK["species"], beaver])
    assert codes(world, set_id) == set()
    read(world, "water_level_m", 1.0, START + HOUR)
    assert found(world, set_id)["not_submerged"]["depth_m"] == 0
    read(world, "water_level_m", 1.9, START + 2 * HOUR)
    assert codes(world, set_id) == set()


def test_a_table_says_how_deep_holds_a_target_under(world: World) -> None:
    from tests.world import RULEBOOK
    from trapline.ground.scope import team_scope
    from trapline.rulebook.models import Species

    muskrat = {"code": "muskrat", "name": "Muskrat", "handling": "keep"}
    take(world, species=[*RULEBOOK["species"], muskrat])
    with team_scope(world.team):
        target = Species.objects.get(code="muskrat").id
    small = kind(world, "small", "foothold_coil", "holding", jaw_spread_m=0.11)
    deep, shallow, unknown = (
        world.set(label, small, placement="submersion", water_depth_m=depth, targets=[target],
                  anchoring=anchoring)
        for label, depth, anchoring in (("A", 0.5, "slide lock"), ("B", 0.2, "slide lock"),
                                        ("C", None, ""))
    )  # fmt: skip
    assert codes(world, deep) == set()
    assert set(found(world, shallow)) == {"too_shallow:muskrat"}
    assert codes(world, unknown) == {"drowner_not_confirmed", "depth_not_measured"}


def test_ice_that_comes_or_goes_makes_another_placement_of_it(world: World) -> None:
    under = world.set("A", "body", placement="under_ice", water_depth_m=0.5, targets=[])
    open_water = world.set("B", "body", placement="submersion", water_depth_m=0.5, targets=[])
    read(world, "ice_m", 0.12, START + HOUR)
    assert codes(world, under) == set()
    assert codes(world, open_water) == {"ice_come"}
    read(world, "ice_m", 0.0, START + 2 * HOUR)
    assert set(found(world, under)) == {"ice_gone"}
    assert codes(world, open_water) == set()


def test_the_fit_table_judges_sizes_and_a_team_may_say_otherwise(world: World) -> None:
    large = kind(world, "large", "body_gripping", "killing", jaw_spread_m=0.254)
    small = kind(world, "tiny", "body_gripping", "killing", jaw_spread_m=0.09)
    fits = kind(world, "fits", "body_gripping", "killing", jaw_spread_m=0.12)
    sets = [world.set(name, name) for name in (large, small, fits)]  # for marten, on land
    assert [set(found(world, one)) for one in sets] == [
        {"device_too_large:marten", "device_endangers:dog"}, {"device_too_small:marten"}, set(),
    ]  # fmt: skip
    said = {
        "device_class": "body_gripping", "species": "marten", "what": "holds", "from_m": 0.08,
        "to_m": 0.3, "source": "what we have seen",
    }  # fmt: skip
    submit(world.instructor, "set_device_fit", said, at=START + HOUR, now=START + HOUR)
    from tests.findings.scene import look

    look(START + HOUR)
    assert [set(found(world, one)) for one in sets] == [{"device_endangers:dog"}, set(), set()]


def test_a_cable_and_a_loop_are_weighed_against_the_target(world: World) -> None:
    from tests.findings.scene import part_kind

    part_kind(world, "cable", diameter_m=0.0016)
    lynx = [world.species["lynx"]]
    good = world.set("A", loop_diameter_m=0.23, loop_height_m=0.25, targets=lynx)
    bad = world.set("B", loop_diameter_m=0.35, loop_height_m=0.5, targets=lynx)
    assert set(found(world, good)) == {"cable_thin:lynx"}
    assert set(found(world, bad)) == {
        "cable_thin:lynx", "loop_unfit:lynx:high", "height_unfit:lynx:high",
    }  # fmt: skip
    part_kind(world, "cable", diameter_m=0.002)
    assert codes(world, good) == set()


def test_a_finding_is_acknowledged_with_a_reason_and_closed_by_the_facts_alone(
    world: World,
) -> None:
    from trapline.findings.models import Finding
    from trapline.ground.errors import NeedsReview
    from trapline.ground.scope import team_scope

    set_id = world.set("A", "body", placement="under_ice", water_depth_m=0.5, targets=[])
    read(world, "ice_m", 0.0, START + HOUR)
    with team_scope(world.team):
        key = Finding.objects.get(set=set_id).id
    said = {"finding": key, "reason": "Pulled tomorrow by two of us"}
    with pytest.raises(NeedsReview):
        submit(world.student, "acknowledge_finding", said, at=START, now=START)
    act = new_id()
    submit(world.instructor, "acknowledge_finding", said, act_id=act, at=START + HOUR)
    read(world, "ice_m", -0.0, START + 2 * HOUR)
    with team_scope(world.team):
        one = Finding.objects.get(id=key)
    assert (one.closed_at, one.acknowledged_by_id, one.reason) == (None, act, said["reason"])
    read(world, "ice_m", 0.2, START + 3 * HOUR)
    with team_scope(world.team):
        assert Finding.objects.get(id=key).closed_at == START + 3 * HOUR
    read(world, "ice_m", 0.0, START + 4 * HOUR)
    with team_scope(world.team):
        again = Finding.objects.get(set=set_id, closed_at=None)
    assert (again.id != key, again.reason) == (True, "")
