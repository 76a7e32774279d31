"""Findings rest on what happened, not on the order it came in by; a what-if writes nothing."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.findings.scene import codes, found, read, rule, sign_off, take
from tests.world import START, World
from trapline.binding.world import World as AsOf
from trapline.findings.find import find
from trapline.findings.models import Finding, Look
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.record.desk import submit

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
END = START + 30 * HOUR


class _Undone(Exception):
    """Ends a trial, whose writing is rolled back."""


def _acts(world: World, set_id: UUID) -> list[Callable[[], Any]]:
    """Acts that do not rest on one another, each at its own time, all received at the end."""

    def say(actor: Any, kind: str, body: dict[str, Any], hours: float) -> Callable[[], Any]:
        act = new_id()
        return lambda: submit(
            actor, kind, body, act_id=act, at=START + hours * HOUR, now=END
        )  # fmt: skip

    ring = [[-128.5, 61.8], [-128.3, 61.8], [-128.3, 62.0], [-128.5, 62.0], [-128.5, 61.8]]
    checks = [
        {"check": new_id(), "set": set_id, "found": found, "done": ["left"], **more}
        for found, more in (
            ("in_order", {"snow_depth_m": 0.35}), ("buried", {}),
            ("animal", {"catches": [{"animal": new_id(), "species": world.species["lynx"],
                                     "alive_on_arrival": False, "fate": "found_dead"}]}),
        )
    ]  # fmt: skip
    snow = {"line": world.line, "what": "snow_depth_m"}
    return [
        say(world.instructor, "take_reading", {**snow, "reading": new_id(), "value": 0.3}, -1),
        say(world.instructor, "take_reading", {**snow, "reading": new_id(), "value": 0.7}, 9),
        say(world.student, "log_check", checks[0], 3),
        say(world.student, "log_check", checks[1], 6),
        say(world.student, "log_check", checks[2], 12),
        say(world.instructor, "sign_off",
            {"member": world.student.member, "skill": world.skills["snare"]}, 1),
        say(world.manager, "keep_permission", {
            "permission": new_id(), "parcel": {"type": "Polygon", "coordinates": [ring]},
            "name": "Parcel", "holder": "Someone", "valid_from": "2025-07-01",
            "valid_until": "2026-01-05"}, 2),
        say(world.manager, "draw_feature", {
            "feature": new_id(), "kind": "trail", "name": "Trail",
            "shape": {"type": "LineString", "coordinates": [[-128.41, 61.9], [-128.39, 61.9]]}}, 2),
    ]  # fmt: skip


def _after(world: World, set_id: UUID, acts: list[Callable[[], Any]]) -> dict[str, Any]:
    told: dict[str, Any] = {}
    try:
        with transaction.atomic():
            for act in acts:
                act()
            told = found(world, set_id)
            raise _Undone
    except _Undone:
        return told


@settings(
    max_examples=12, deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)  # fmt: skip
@given(order=st.permutations(range(8)))
def test_findings_do_not_depend_on_the_order_in_which_acts_come_in(
    world: World, order: list[int]
) -> None:
    with team_scope(world.team):
        there = Look.objects.values_list("set_id", flat=True).first()
    if there is None:
        take(
            world,
            rule("high", "loop", "height", {"from_m": 0.2, "datum": "surface", "edge": "bottom"}),
            rule("far", "setback", "from_feature", {"feature": "trail", "at_least_m": 20.0}),
        )
        there = world.set("A", loop_diameter_m=0.2, loop_height_m=0.3, snow_depth_m=0.3)
    acts = _acts(world, there)
    plain = _after(world, there, acts)
    assert {"too_near:trail", "permission_lapsed", "cable_spent"} <= set(plain)
    assert _after(world, there, [acts[number] for number in order]) == plain


def test_another_world_is_answered_and_nothing_is_written(world: World) -> None:
    for skill in ("snare", "body_gripping"):
        sign_off(world, skill)
    season = {"opens_on": "11-01", "closes_on": "03-01"}
    take(world, rule("marten", "season", "each_year", season, species=["marten"]))
    loop = world.set("A", loop_diameter_m=0.1, loop_height_m=0.25, snow_depth_m=0.3)
    ground = world.set("B", "body", snow_depth_m=0.3)
    under = world.set("C", "body", placement="submersion", water_depth_m=0.3)
    read(world, "water_level_m", 1.0, START)
    sets = [loop, ground, under]
    with team_scope(world.team):
        before = list(Finding.objects.order_by("id").values())

        def whatif(**other: Any) -> list[set[str]]:
            ones = find(world.team, sets, AsOf(START, **other)).ones()
            return [{one.code for one in ones if one.set == key} for key in sets]

        assert whatif() == [set(), set(), set()]
        assert whatif(snow_m=0.3) == [{"loop_snowed_in"}, {"snowed_in"}, set()]
        assert whatif(water_m=-0.4) == [set(), set(), {"not_submerged"}]
        assert whatif(away=frozenset({world.student.member})) == [{"nobody_to_tend"}] * 3
        assert whatif(closed=frozenset({"marten"})) == [{"season_closed"}] * 3
        assert list(Finding.objects.order_by("id").values()) == before
    assert codes(world, loop) == set()


def test_a_draft_of_a_rulebook_and_a_lapsed_permission_are_worlds_too(world: World) -> None:
    from tests.world import RULEBOOK
    from trapline.binding.matters import draft_rules
    from trapline.land.models import Permission
    from trapline.rulebook.schema import read_document

    sign_off(world, "snare")
    set_id = world.set("A")
    draft = {**RULEBOOK, "rules": [*RULEBOOK["rules"], rule("tag", "tag", "required", {})]}
    ring = [[-128.5, 61.8], [-128.3, 61.8], [-128.3, 62.0], [-128.5, 62.0], [-128.5, 61.8]]
    body = {
        "permission": new_id(), "parcel": {"type": "Polygon", "coordinates": [ring]},
        "name": "Parcel", "holder": "Someone", "valid_from": "2025-07-01",
        "valid_until": "2026-06-30",
    }  # fmt: skip
    submit(world.manager, "keep_permission", body, at=START, now=START)
    assert codes(world, set_id) == set()
    with team_scope(world.team):
        lapsed = frozenset(Permission.objects.values_list("id", flat=True))
        for other, expected in (
            (AsOf(START, draft=draft_rules(read_document(draft))), {"no_tag"}),
            (AsOf(START, lapsed=lapsed), {"permission_lapsed"}),
        ):
            assert {one.code for one in find(world.team, [set_id], other).ones()} == expected
