"""Files of what is on the land: what is read of them, and where a broken one is broken."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from trapline.ground.errors import Refused
from trapline.land.formats import geojson_in, gpx_in

GPX = """<?xml version="1.0"?>
<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1">
<wpt lat="61.9" lon="-128.4"><name>Cabin</name><type>dwelling</type></wpt>
<rte><name>Old road</name><rtept lat="61.9" lon="-128.4"/><rtept lat="61.91" lon="-128.42"/></rte>
<trk><name>Ski
trail</name>
<trkseg><trkpt lat="61.9" lon="-128.4"/><trkpt lat="61.92" lon="-128.4"/></trkseg>
<trkseg><trkpt lat="61.93" lon="-128.4"/><trkpt lat="61.94" lon="-128.4"/></trkseg></trk>
</gpx>"""


def collection(*features: Any, **more: Any) -> bytes:
    return json.dumps({"type": "FeatureCollection", "features": features, **more}).encode()


def feature(geometry: Any, **words: Any) -> dict[str, Any]:
    return {"type": "Feature", "geometry": geometry, "properties": words}


POINT = {"type": "Point", "coordinates": [-128.4, 61.9]}


def test_a_geojson_collection_is_read_in_its_order() -> None:
    found = geojson_in.read(collection(feature(POINT, name="Cabin", kind="dwelling"), {"x": 1}))
    assert [(one.number, one.name, one.kind) for one in found] == [
        (1, "Cabin", "dwelling"), (2, "", ""),
    ]  # fmt: skip
    assert found[0].geometry == POINT
    assert found[1].problems[0].code == "geojson_no_feature"


@pytest.mark.parametrize("data", [feature(POINT), POINT])
def test_one_feature_or_a_bare_geometry_is_a_file_too(data: Any) -> None:
    """RFC 7946, 3: a GeoJSON text may be a geometry, a feature or a collection."""
    (one,) = geojson_in.read(json.dumps(data).encode())
    assert one.geometry == POINT


def test_the_ways_of_a_gpx_file_are_points_and_paths() -> None:
    point, road, trail = gpx_in.read(GPX.encode())
    assert (point.line_no, point.kind, point.geometry) == (3, "dwelling", POINT)
    assert road.geometry == {
        "type": "LineString", "coordinates": [[-128.4, 61.9], [-128.42, 61.91]],
    }  # fmt: skip
    assert trail.geometry is not None
    assert (trail.name, trail.geometry["type"]) == ("Ski trail", "MultiLineString")
    assert [len(part) for part in trail.geometry["coordinates"]] == [2, 2]


def test_a_place_that_is_no_number_is_wrong_only_in_its_way() -> None:
    found = gpx_in.read(GPX.replace('lat="61.91"', 'lat="north"').encode())
    assert [len(one.problems) for one in found] == [0, 1, 0]
    assert found[1].problems[0].code == "row_degrees"


@pytest.mark.parametrize(
    ("read", "raw", "code", "line"),
    [
        (geojson_in.read, b'{"type": "FeatureCollection",\n "features": [}', "json_broken", 2),
        (geojson_in.read, b'{"type": "Feature"\n', "json_broken", 2),
        (geojson_in.read, b"{}\n\xff", "file_not_text", 2),
        (geojson_in.read, b'{"type": "Topology"}', "geojson_other_kind", None),
        (geojson_in.read, b"[1, 2]", "geojson_other_kind", None),
        (geojson_in.read, b"[" * 100_000, "geojson_other_kind", None),
        (geojson_in.read, collection(), "geojson_no_features", None),
        (geojson_in.read, b'{"type": "Point", "coordinates": [NaN, 1]}', "json_no_number", None),
        (
            geojson_in.read,
            collection(feature(POINT), crs={"properties": {"name": "urn:ogc:def:crs:EPSG::3067"}}),
            "geojson_other_crs",
            None,
        ),
        (geojson_in.read, b" ", "file_empty", None),
        (gpx_in.read, GPX.replace("</trk>", "").encode(), "gpx_broken", 9),
        (gpx_in.read, b"<kml/>", "gpx_other_kind", 1),
        (gpx_in.read, b'<!DOCTYPE x [<!ENTITY a "b">]><gpx/>', "gpx_entities", 1),
        (
            gpx_in.read,
            b'<gpx xmlns="http://www.topografix.com/GPX/1/1"></gpx>',
            "gpx_no_ways",
            None,
        ),
    ],
)
def test_a_broken_file_is_refused_whole_with_its_place(
    read: Callable[[bytes], Any], raw: bytes, code: str, line: int | None
) -> None:
    with pytest.raises(Refused) as refused:
        read(raw)
    (problem,) = refused.value.problems
    assert (problem.code, problem.values.get("line")) == (code, line)


def test_the_grid_that_older_files_name_is_taken_when_it_is_wgs_84() -> None:
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}
    assert len(geojson_in.read(collection(feature(POINT), crs=crs))) == 1
