"""Kinds of parts and of devices are named: who may, what changes, what stays."""

from typing import Any

import pytest

from tests.record.acting import do, refusal
from tests.world import World
from trapline.gear.models import DeviceKind, KindPart, PartKind
from trapline.gear.selectors import said_of_kind
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope


def part_kind(**other: Any) -> dict[str, Any]:
    return {
        "kind": new_id(), "role": "cable", "name": "Cable 7x7, 2 mm", "diameter_m": 0.002,
        "construction": "7x7", "breaking_load_n": 2800.0, "breaking_load_source": "measured by us",
        "mass_kg": 0.03, "price": "4.20", **other,
    }  # fmt: skip


def device_kind(world: World, **other: Any) -> dict[str, Any]:
    return {
        "kind": new_id(), "name": "Snare, long", "device_class": "snare", "action": "holding",
        "skill": world.skills["snare"], "mass_kg": 0.04,
        "parts": [
            {"role": "cable", "after_catch": "spent"},
            {"role": "swivel", "count": 2, "needed": False, "after_catch": "freed"},
        ],
        **other,
    }  # fmt: skip


def parts_of(world: World, kind: Any) -> dict[str, tuple[int, bool, str]]:
    with team_scope(world.team):
        rows = KindPart.objects.filter(kind_id=kind)
        return {one.role: (one.count, one.needed, one.after_catch) for one in rows}


def test_a_kind_of_part_is_named_and_changed(world: World) -> None:
    body = part_kind()
    do(world.instructor, "name_part_kind", body)
    do(world.instructor, "name_part_kind", {**body, "price": 4.5, "name": "Cable, 2 mm"})
    with team_scope(world.team):
        kept = PartKind.objects.get(id=body["kind"])
    assert (kept.name, str(kept.price), kept.breaking_load_n) == ("Cable, 2 mm", "4.50", 2800.0)


@pytest.mark.parametrize(
    ("other", "field", "code"),
    [
        ({"name": "cable as bought"}, "name", "name_taken"),
        ({"breaking_load_source": " "}, "breaking_load_source", "load_needs_source"),
        ({"role": "rope"}, "body.role", "shape_enum"),
        ({"diameter_m": 2.0}, "body.diameter_m", "shape_less_than_equal"),
        ({"diameter_m": 0}, "body.diameter_m", "shape_greater_than"),
        ({"price": -1}, "body.price", "shape_greater_than_equal"),
        ({"price": "1.234"}, "body.price", "shape_decimal_max_places"),
    ],
)
def test_a_kind_of_part_that_does_not_fit_is_refused_at_its_field(
    world: World, other: dict[str, Any], field: str, code: str
) -> None:
    assert refusal(world.instructor, "name_part_kind", part_kind(**other)) == (field, code)
    do(world.instructor, "name_part_kind", part_kind())


def test_parts_of_a_kind_keep_what_they_are(world: World) -> None:
    body = part_kind(kind=world.part_kinds["cable"], role="lock", name="Was a cable")
    do(world.instructor, "name_part_kind", body)
    do(world.instructor, "name_part_kind", {**body, "role": "cable"})
    world.device("snare", "D1")
    assert refusal(world.instructor, "name_part_kind", body) == ("role", "kind_in_use")
    do(world.instructor, "name_part_kind", {**body, "role": "cable", "name": "Cable"})


def test_a_kind_of_device_is_named_with_its_parts_and_changed(world: World) -> None:
    body = device_kind(world)
    do(world.instructor, "name_device_kind", body)
    assert parts_of(world, body["kind"]) == {
        "cable": (1, True, "spent"), "swivel": (2, False, "freed"),
    }  # fmt: skip
    parts = [{"role": "cable", "after_catch": "spent"}, {"role": "lock", "after_catch": "freed"}]
    do(world.instructor, "name_device_kind", {**body, "name": "Snare, 3 m", "parts": parts})
    assert parts_of(world, body["kind"]) == {
        "cable": (1, True, "spent"), "lock": (1, True, "freed"),
    }  # fmt: skip
    with team_scope(world.team):
        assert DeviceKind.objects.get(id=body["kind"]).name == "Snare, 3 m"


@pytest.mark.parametrize(
    ("other", "field", "code"),
    [
        ({"name": "body"}, "name", "name_taken"),
        ({"skill": new_id()}, "skill", "waits_for"),
        ({"device_class": "net"}, "body.device_class", "shape_enum"),
        ({"action": "both"}, "body.action", "shape_enum"),
        ({"jaw_spread_m": 6}, "body.jaw_spread_m", "shape_less_than_equal"),
        ({"price": -1}, "body.price", "shape_greater_than_equal"),
        ({"set_up_s": -60}, "body.set_up_s", "shape_greater_than_equal"),
        ({"parts": [{"role": "cable"}, {"role": "cable"}]}, "parts.1.role", "role_twice"),
        ({"parts": [{"role": "cable", "count": 0}]}, "body.parts.0.count",
         "shape_greater_than_equal"),
        ({"parts": [{"role": "cable", "after_catch": "lost"}]}, "body.parts.0.after_catch",
         "shape_enum"),
    ],
)  # fmt: skip
def test_a_kind_of_device_that_does_not_fit_is_refused_at_its_field(
    world: World, other: dict[str, Any], field: str, code: str
) -> None:
    body = device_kind(world, **other)
    assert refusal(world.instructor, "name_device_kind", body) == (field, code)
    do(world.instructor, "name_device_kind", device_kind(world))


@pytest.mark.parametrize(
    ("other", "field"), [({"action": "killing"}, "action"), ({"device_class": "cage"},
                                                            "device_class")]
)  # fmt: skip
def test_what_devices_of_a_kind_are_bound_by_stays(
    world: World, other: dict[str, Any], field: str
) -> None:
    body = device_kind(world, kind=world.kinds["snare"], name="snare")
    do(world.instructor, "name_device_kind", {**body, **other})
    do(world.instructor, "name_device_kind", body)
    world.device("snare", "D1")
    assert refusal(world.instructor, "name_device_kind", {**body, **other}) == (
        field, "kind_in_use",
    )  # fmt: skip
    do(world.instructor, "name_device_kind", {**body, "mass_kg": 0.05})


def test_what_was_said_of_a_kind_stays_with_who_said_it(world: World) -> None:
    body, other = device_kind(world), device_kind(world, name="Snare, short")
    for said in (body, other, {**body, "mass_kg": 0.05}):
        do(world.instructor, "name_device_kind", said)
    with team_scope(world.team):
        told = said_of_kind(world.team, body["kind"])
    assert [one.body["mass_kg"] for one in told] == [0.04, 0.05]
    assert {one.by for one in told} == {"Ivar"}


def test_a_student_names_no_kinds(world: World) -> None:
    wrong = ("kind", "only_leaders")
    assert refusal(world.student, "name_part_kind", part_kind()) == wrong
    assert refusal(world.student, "name_device_kind", device_kind(world)) == wrong


def test_a_skill_of_another_team_is_unknown(world: World, other_world: World) -> None:
    body = device_kind(world, skill=other_world.skills["snare"])
    assert refusal(world.instructor, "name_device_kind", body) == ("skill", "waits_for")


def test_another_teams_kind_cannot_be_changed(world: World, other_world: World) -> None:
    theirs = other_world.kinds["snare"]
    body = device_kind(world, kind=theirs)
    field, code = refusal(world.instructor, "name_device_kind", body)
    assert (field, code) == ("body", "constraint_gear_devicekind_pkey")
    with team_scope(other_world.team):
        assert DeviceKind.objects.get(id=theirs).name == "snare"
