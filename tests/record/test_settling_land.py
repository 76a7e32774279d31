"""Permissions are kept and features drawn: who may, and which shapes are none."""

from typing import Any

import pytest

from tests.record.acting import do, refusal
from tests.world import World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.land.models import Feature, Permission

RING = [[-128.5, 61.8], [-128.3, 61.8], [-128.3, 61.9], [-128.5, 61.9], [-128.5, 61.8]]
PARCEL = {"type": "Polygon", "coordinates": [RING]}


def permission(**other: Any) -> dict[str, Any]:
    return {
        "permission": new_id(), "parcel": PARCEL, "name": "Lower field", "holder": "The holder",
        "contact": "by the mill", "valid_from": "2025-09-01", "valid_until": "2026-03-31",
        "conditions": "No vehicles.", "reference": "P-3", **other,
    }  # fmt: skip


def feature(**other: Any) -> dict[str, Any]:
    return {
        "feature": new_id(), "kind": "trail", "name": "Ski trail",
        "shape": {"type": "LineString", "coordinates": RING[:2]}, **other,
    }  # fmt: skip


def test_a_permission_is_kept_and_changed(world: World) -> None:
    body = permission(members=[world.student.member])
    do(world.manager, "keep_permission", body)
    do(world.manager, "keep_permission", {**body, "valid_until": "2026-04-30", "members": []})
    with team_scope(world.team):
        kept = Permission.objects.get()
    assert (str(kept.valid_until), kept.members, kept.conditions) == (
        "2026-04-30", [], "No vehicles.",
    )  # fmt: skip
    assert kept.parcel.extent == (-128.5, 61.8, -128.3, 61.9)


@pytest.mark.parametrize(
    ("other", "field", "code"),
    [
        ({"valid_until": "2025-08-31"}, "valid_until", "dates_out_of_order"),
        ({"members": [new_id()]}, "members.0", "waits_for"),
        ({"holder": ""}, "body.holder", "shape_string_too_short"),
        (
            {"parcel": {"type": "Polygon", "coordinates": [[[200, 0], [1, 0], [1, 1], [200, 0]]]}},
            "body.parcel.coordinates.0.0",
            "outline_off_the_globe",
        ),
        (
            {"parcel": {"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [1, 1], [0, 1]]]}},
            "body.parcel.coordinates.0",
            "outline_open",
        ),
        (
            {
                "parcel": {
                    "type": "Polygon",
                    "coordinates": [[[0, 0], [1, 1], [1, 0], [0, 1], [0, 0]]],
                }
            },
            "body.parcel.coordinates",
            "outline_invalid",
        ),
        (
            {"parcel": {"type": "Point", "coordinates": [0, 0]}},
            "body.parcel",
            "shape_union_tag_invalid",
        ),
    ],
)
def test_a_permission_that_does_not_fit_is_refused_at_its_field(
    world: World, other: dict[str, Any], field: str, code: str
) -> None:
    assert refusal(world.manager, "keep_permission", permission(**other)) == (field, code)
    do(world.manager, "keep_permission", permission())


@pytest.mark.parametrize("who", ["instructor", "student"])
def test_only_a_manager_keeps_permissions(world: World, who: str) -> None:
    wrong = ("permission", "only_managers")
    assert refusal(getattr(world, who), "keep_permission", permission()) == wrong


def test_a_member_of_another_team_is_unknown(world: World, other_world: World) -> None:
    body = permission(members=[world.student.member, other_world.student.member])
    assert refusal(world.manager, "keep_permission", body) == ("members.1", "waits_for")


@pytest.mark.parametrize(
    ("kind", "shape", "made"),
    [
        ("dwelling", {"type": "Point", "coordinates": [-128.4, 61.9]}, "Point"),
        ("trail", {"type": "LineString", "coordinates": RING[:3]}, "LineString"),
        ("water", PARCEL, "MultiPolygon"),
        ("water", {"type": "MultiPolygon", "coordinates": [[RING]]}, "MultiPolygon"),
    ],
)
def test_a_feature_is_a_point_a_path_or_an_area(
    world: World, kind: str, shape: dict[str, Any], made: str
) -> None:
    body = feature(kind=kind, shape=shape)
    do(world.instructor, "draw_feature", body)
    with team_scope(world.team):
        kept = Feature.objects.get()
    assert (kept.kind, kept.shape.geom_type, kept.shape.srid) == (kind, made, 4326)


def test_a_feature_drawn_again_is_moved(world: World) -> None:
    body = feature()
    do(world.instructor, "draw_feature", body)
    do(world.instructor, "draw_feature", {**body, "shape": PARCEL, "kind": "water", "name": ""})
    with team_scope(world.team):
        assert Feature.objects.get().kind == "water"


@pytest.mark.parametrize(
    ("other", "field", "code"),
    [
        ({"kind": "fence"}, "body.kind", "shape_enum"),
        ({"shape": {"type": "Point", "coordinates": [0, 91]}}, "body.shape.Point.coordinates",
         "shape_value_error"),
        ({"shape": {"type": "LineString", "coordinates": [[0, 0]]}},
         "body.shape.LineString.coordinates", "shape_too_short"),
        ({"shape": {"type": "Circle", "coordinates": [0, 0]}}, "body.shape",
         "shape_union_tag_invalid"),
        ({"shape": {"type": "Polygon", "coordinates": [RING[:4]]}},
         "body.shape.coordinates.0", "outline_open"),
    ],
)  # fmt: skip
def test_a_feature_that_does_not_fit_is_refused_at_its_field(
    world: World, other: dict[str, Any], field: str, code: str
) -> None:
    assert refusal(world.instructor, "draw_feature", feature(**other)) == (field, code)
    do(world.instructor, "draw_feature", feature())


def test_a_student_draws_no_features(world: World) -> None:
    assert refusal(world.student, "draw_feature", feature()) == ("feature", "only_leaders")
