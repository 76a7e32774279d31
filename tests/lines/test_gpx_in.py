"""Waypoints that other programs wrote, and files that are none."""

import ctypes
import json
from datetime import UTC, datetime
from pathlib import Path

import gpxpy.gpx
import pytest
from django.contrib.gis.gdal import libgdal

from trapline.ground.errors import Refused
from trapline.ground.files import MOST_BYTES
from trapline.lines.formats import gpx_in
from trapline.lines.formats.draft import Draft

HEAD = '<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1" creator="x">'


def drafts(raw: bytes) -> list[Draft | None]:
    return [row.draft for row in gpx_in.read(raw)]


def refused(raw: bytes) -> tuple[str, int | None]:
    with pytest.raises(Refused) as error:
        gpx_in.read(raw)
    (problem,) = error.value.problems
    return problem.code, problem.values.get("line")


def test_a_waypoint_written_by_gpxpy_is_read_with_its_line() -> None:
    book = gpxpy.gpx.GPX()
    moment = datetime(2026, 1, 5, 9, 12, tzinfo=UTC)
    book.waypoints.append(
        gpxpy.gpx.GPXWaypoint(61.9, -128.4, elevation=700, time=moment, name="C-04 <& é")
    )
    book.tracks.append(gpxpy.gpx.GPXTrack(name="not a set"))
    (row,) = gpx_in.read(book.to_xml(version="1.1").encode())
    assert row.draft == Draft("C-04 <& é", -128.4, 61.9, moment)
    assert row.line_no == 3
    (older,) = gpx_in.read(book.to_xml(version="1.0").encode())
    assert older.draft == row.draft


def test_waypoints_written_by_gdal_are_read(tmp_path: Path) -> None:
    """GDAL's GPX driver is a writer of its own; driven through the library that Django loads."""
    source, target = tmp_path / "in.geojson", tmp_path / "out.gpx"
    point = {"type": "Point", "coordinates": [-128.4, 61.9]}
    feature = {"type": "Feature", "geometry": point, "properties": {"name": "C-04"}}
    source.write_text(json.dumps({"type": "FeatureCollection", "features": [feature]}))
    gdal = ctypes.CDLL(libgdal.lib_path)
    for name in ("GDALOpenEx", "GDALVectorTranslateOptionsNew", "GDALVectorTranslate"):
        getattr(gdal, name).restype = ctypes.c_void_p
    gdal.GDALAllRegister()
    opened = ctypes.c_void_p(gdal.GDALOpenEx(str(source).encode(), 4, None, None, None))
    arguments = (ctypes.c_char_p * 3)(b"-f", b"GPX", None)
    options = ctypes.c_void_p(gdal.GDALVectorTranslateOptionsNew(arguments, None))
    sources = (ctypes.c_void_p * 1)(opened)
    made = gdal.GDALVectorTranslate(str(target).encode(), None, 1, sources, options, None)
    gdal.GDALClose(ctypes.c_void_p(made))
    gdal.GDALClose(opened)
    raw = target.read_bytes()
    assert b"GDAL" in raw  # its creator attribute: this is not ours
    assert drafts(raw) == [Draft("C-04", -128.4, 61.9)]


@pytest.mark.parametrize(
    "raw",
    [
        # A prefix for the namespace, CDATA, comments, extensions, a byte order mark
        b'\xef\xbb\xbf<?xml version="1.0"?><g:gpx xmlns:g="http://www.topografix.com/GPX/1/1">'
        b'<!-- made by hand --><g:wpt lon="2.5" lat=" 1.5 "><g:ele>3</g:ele><g:name><![CDATA[A 1]]>'
        b'</g:name><g:extensions><x:name xmlns:x="urn:x">other</x:name></g:extensions></g:wpt>'
        b"</g:gpx>",
        f'<?xml version="1.0" encoding="UTF-16"?>{HEAD}<wpt lat="1.5" lon="2.5"><name>A 1</name>'
        "</wpt></gpx>".encode("utf-16"),
        f'<?xml version="1.0" encoding="ISO-8859-1"?>{HEAD}<wpt lat="1.5" lon="2.5">'
        "<name>\n A   1 </name></wpt></gpx>".encode("latin-1"),
    ],
)
def test_what_xml_and_the_schema_allow_is_read(raw: bytes) -> None:
    assert drafts(raw) == [Draft("A 1", 2.5, 1.5)]


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("2026-01-05T09:12:00Z", datetime(2026, 1, 5, 9, 12, tzinfo=UTC)),
        ("2026-01-05T09:12:00", datetime(2026, 1, 5, 9, 12, tzinfo=UTC)),  # GPX 1.1: UTC
        ("2026-01-05T09:12:00.250+02:00", datetime(2026, 1, 5, 7, 12, 0, 250_000, tzinfo=UTC)),
    ],
)
def test_times_are_read_as_instants(written: str, read: datetime) -> None:
    raw = f'{HEAD}<wpt lat="1" lon="2"><time>{written}</time><name>A</name></wpt></gpx>'
    (draft,) = drafts(raw.encode())
    assert draft is not None
    assert draft.at == read


def test_each_wrong_waypoint_says_what_is_wrong_and_where_and_the_others_are_read() -> None:
    raw = f"""{HEAD}
      <wpt lat="91" lon="west"><name>A</name></wpt>
      <wpt lat="1" lon="2"><name>B</name></wpt>
      <wpt lat="1" lon="2"><time>yesterday</time></wpt>
      <wpt lat="nan" lon="2"><name>{"C" * 61}</name></wpt>
    </gpx>"""
    rows = gpx_in.read(raw.encode())
    assert [row.line_no for row in rows] == [2, 3, 4, 5]
    assert [[(one.field, one.code) for one in row.problems] for row in rows] == [
        [("lat", "row_degrees"), ("lon", "row_degrees")],
        [],
        [("label", "row_no_label"), ("at", "row_time")],
        [("label", "row_label_long"), ("lat", "row_degrees")],
    ]


BOMB = """<?xml version="1.0"?><!DOCTYPE gpx [
  <!ENTITY a "lol"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">
]>"""


@pytest.mark.parametrize(
    ("raw", "code", "line"),
    [
        (f"{BOMB}{HEAD}<wpt lat='1' lon='2'><name>&b;</name></wpt></gpx>", "gpx_entities", 1),
        ('<!DOCTYPE gpx SYSTEM "file:///etc/passwd"><gpx/>', "gpx_entities", 1),
        (f'{HEAD}\n<wpt lat="1" lon="2">\n<name>A</name>', "gpx_broken", 3),
        (f"{HEAD}\n\n</gpy>", "gpx_broken", 3),
        ('<?xml version="1.0" encoding="no-such"?><gpx/>', "gpx_broken", 1),
        ("label,lat,lon\nA,1,2\n", "gpx_broken", 1),
        ("<kml/>", "gpx_other_kind", 1),
        ('<gpx xmlns="urn:other"/>', "gpx_other_kind", 1),
        (f"{HEAD}<trk/></gpx>", "gpx_no_waypoints", None),
        (" \n", "file_empty", None),
        (" " * MOST_BYTES + "<a/>", "file_too_large", None),
        (f"{HEAD}{'<wpt/>' * 501}</gpx>", "file_too_many_rows", 1),
    ],
)
def test_a_file_of_another_kind_or_broken_halfway_is_refused_whole_with_its_line(
    raw: str, code: str, line: int | None
) -> None:
    assert refused(raw.encode()) == (code, line)
