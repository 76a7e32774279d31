"""Features from a file: the dry run says what comes in, one act brings it whole."""

import json
from typing import Any

import pytest
from pyproj import Geod

from tests.record.acting import do, refusal
from tests.world import World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.land.formats import geojson_in
from trapline.land.models import Feature
from trapline.record.desk import submit
from trapline.record.import_features import PlannedFeature, dry_run

TRAIL = {"type": "LineString", "coordinates": [[-128.4, 61.9, 612.5], [-128.3, 61.95, 640]]}
LAKE = {
    "type": "Polygon",
    "coordinates": [[[-128.5, 61.8], [-128.4, 61.8], [-128.4, 61.85], [-128.5, 61.8]]],
}


def planned(
    world: World, *features: tuple[dict[str, Any], dict[str, Any]], kind: str | None = None
) -> tuple[list[PlannedFeature], dict[str, Any] | None]:
    raw = {
        "type": "FeatureCollection",
        "features": [
            {"type": "Feature", "geometry": geometry, "properties": words}
            for geometry, words in features
        ],
    }
    found = geojson_in.read(json.dumps(raw).encode())
    return dry_run(world.instructor, found, kind=kind, source="county.geojson")


def test_one_act_brings_a_file_in(world: World) -> None:
    rows, body = planned(
        world, (TRAIL, {"name": "Old trail", "kind": "trail"}), (LAKE, {"kind": "water"})
    )
    assert body is not None
    assert [(one.kind, one.name, bool(one.said)) for one in rows] == [
        ("trail", "Old trail", True), ("water", "", True),
    ]  # fmt: skip
    with team_scope(world.team):
        assert not Feature.objects.exists(), "a dry run writes nothing"
    act = new_id()
    first = submit(world.instructor, "import_features", body, act_id=act)
    assert first.state == "applied"
    with team_scope(world.team):
        kept = Feature.objects.get(kind="trail")
        assert (kept.name, kept.source, kept.shape.hasz) == ("Old trail", "county.geojson", False)
        assert Feature.objects.count() == 2
        assert Act.objects.filter(kind="import_features").count() == 1


def test_a_features_length_is_measured_on_the_globe(world: World) -> None:
    """Against pyproj's geodesic line on the same ellipsoid (Karney 2013)."""
    rows, _body = planned(world, (TRAIL, {"kind": "trail"}))
    _a, _b, metres = Geod(ellps="WGS84").inv(-128.4, 61.9, -128.3, 61.95)
    assert rows[0].length_m == pytest.approx(metres, abs=0.001)


@pytest.mark.parametrize(
    ("geometry", "words", "code"),
    [
        (TRAIL, {"kind": "fence"}, "feature_kind_unknown"),
        ({"type": "MultiPoint", "coordinates": [[1, 2]]}, {"kind": "trail"}, "feature_other_shape"),
        ({"type": "GeometryCollection"}, {"kind": "trail"}, "feature_other_shape"),
        ({"type": "Point", "coordinates": [61.9, -128.4]}, {"kind": "dwelling"},
         "shape_value_error"),
        ({"type": "Point", "coordinates": []}, {"kind": "dwelling"}, "shape_missing"),
        ({"type": "Point", "coordinates": {"lon": 1}}, {"kind": "dwelling"}, "shape_tuple_type"),
        ({"type": "LineString", "coordinates": [[1, 2]]}, {"kind": "road"}, "shape_too_short"),
        ({"type": "Polygon", "coordinates": [LAKE["coordinates"][0][:3]]}, {"kind": "water"},
         "shape_too_short"),
        ({"type": "Polygon", "coordinates": [[[0, 0], [1, 1], [1, 0], [0, 1], [0, 0]]]},
         {"kind": "water"}, "outline_invalid"),
    ],
)  # fmt: skip
def test_a_feature_that_does_not_fit_stays_out_and_says_why(
    world: World, geometry: dict[str, Any], words: dict[str, Any], code: str
) -> None:
    rows, body = planned(world, (geometry, words), (TRAIL, {"kind": "trail"}))
    assert (rows[0].said, rows[0].problems[0].code) == (None, code)
    assert rows[1].said is not None
    assert body is not None
    assert len(body["features"]) == 1


def test_the_form_says_what_a_file_does_not(world: World) -> None:
    rows, _body = planned(world, (TRAIL, {}), (LAKE, {"kind": "WATER"}), kind="road")
    assert [one.kind for one in rows] == ["road", "water"]


def test_a_file_read_twice_brings_nothing_twice(world: World) -> None:
    _rows, body = planned(world, (TRAIL, {"kind": "trail"}))
    assert body is not None
    do(world.instructor, "import_features", body)
    rows, again = planned(world, (TRAIL, {"kind": "trail"}), (TRAIL, {"kind": "road"}))
    assert [one.problems[0].code if one.problems else "" for one in rows] == [
        "feature_there_already", "",
    ]  # fmt: skip
    assert again is not None
    wrong = ("features", "feature_id_known")
    assert refusal(world.instructor, "import_features", body) == wrong


def test_a_student_imports_nothing_and_nothing_is_half_imported(world: World) -> None:
    _rows, body = planned(world, (TRAIL, {"kind": "trail"}), (LAKE, {"kind": "water"}))
    assert body is not None
    assert refusal(world.student, "import_features", body) == ("features", "only_leaders")
    body["features"][1]["shape"]["coordinates"][0][0] = [200, 0]
    wrong = ("body.features.1.shape.coordinates.0.0", "outline_off_the_globe")
    assert refusal(world.instructor, "import_features", body) == wrong
    with team_scope(world.team):
        assert not Feature.objects.exists()


def test_a_feature_is_taken_off_the_land_once(world: World, other_world: World) -> None:
    _rows, body = planned(world, (TRAIL, {"kind": "trail"}))
    assert body is not None
    do(world.instructor, "import_features", body)
    gone = {"feature": body["features"][0]["feature"]}
    assert refusal(other_world.manager, "drop_feature", gone) == ("feature", "waits_for")
    assert refusal(world.student, "drop_feature", gone) == ("feature", "only_leaders")
    do(world.instructor, "drop_feature", gone)
    assert refusal(world.instructor, "drop_feature", gone) == ("feature", "waits_for")
