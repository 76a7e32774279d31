"""Lines, the map's data and its tiles, the printed sheet."""

from pathlib import Path
from typing import Any

import gpxpy
import pytest
from django.conf import settings
from django.test import Client

from tests.pages.cast import client_of
from tests.pages.conftest import Clock
from tests.pages.reading import filled, form_with, words
from tests.world import World
from trapline.ground.scope import team_scope
from trapline.lines.models import Line

pytestmark = pytest.mark.django_db
DRAWN = "61.90, -128.40\n61.91, -128.41\n61.92, -128.43"


def drawing(opened: Any, **typed: Any) -> dict[str, Any]:
    basics = {"name": "Ridge line", "tz": "America/Whitehorse", "travel": "ski", "path": DRAWN}
    return filled(opened, "path", **(basics | typed))


def test_a_line_is_drawn_from_the_places_that_were_tapped_or_typed(
    world: World, instructor: Client
) -> None:
    answer = instructor.post("/t/north/lines/new/", drawing(instructor.get("/t/north/lines/new/")))
    assert answer.status_code == 302, words(answer)
    with team_scope(world.team):
        line = Line.objects.get(name="Ridge line")
    assert line.path.coords[0] == (-128.40, 61.90)  # longitude first, as GeoJSON has it
    assert "America/Whitehorse" in words(instructor.get(answer["Location"]))


@pytest.mark.parametrize(
    ("path", "sentence"),
    [
        ("61.9, -128.4\nnorth of the creek", "Line 2: give latitude and longitude"),
        ("61.9, -128.4\n-128.4, 61.9", "Line 2: latitude lies in -90 to 90"),
        ("61.9, -128.4", "A path needs two places or more"),
    ],
)
def test_a_path_that_cannot_be_read_names_its_line(
    world: World, instructor: Client, path: str, sentence: str
) -> None:
    typed = drawing(instructor.get("/t/north/lines/new/"), path=path)
    answer = instructor.post("/t/north/lines/new/", typed)
    assert answer.status_code == 422
    assert sentence in words(answer)
    assert form_with(answer, "path").values["path"] == [path]


def test_a_line_is_changed_and_keeps_its_path(world: World, instructor: Client) -> None:
    change = f"/t/north/lines/{world.line}/change/"
    answer = instructor.post(change, filled(instructor.get(change), "path", status="hold"))
    assert answer.status_code == 302, words(answer)
    with team_scope(world.team):
        line = Line.objects.get(id=world.line)
    assert (line.status, len(line.path)) == ("hold", 2)


def test_a_line_lists_its_sets_nearest_due_first(
    world: World, instructor: Client, at: Clock
) -> None:
    world.set("B-1", "body")
    world.set("A-1")
    page = words(instructor.get(f"/t/north/lines/{world.line}/"))
    assert page.index("A-1") < page.index("B-1")


def test_the_sheet_has_a_row_for_each_set_and_room_to_write(
    world: World, instructor: Client
) -> None:
    world.set("A-1")
    answer = instructor.get(f"/t/north/lines/{world.line}/sheet/")
    assert "A-1 snare A-1-device Land 61.90000 -128.40000 before Tue 6 Jan 11:00 MST" in words(
        answer
    )
    assert answer.content.count(b"<td></td>") == 4


def test_the_maps_data_is_geojson_with_longitude_first(world: World, instructor: Client) -> None:
    """RFC 7946: type FeatureCollection, positions as longitude, latitude."""
    set_id = world.set("A-1")
    answer = instructor.get("/t/north/map/sets.geojson")
    assert answer["Content-Type"] == "application/geo+json"
    shown = {one["id"]: one for one in answer.json()["features"]}
    point = shown[str(set_id)]
    assert point["geometry"] == {"type": "Point", "coordinates": [-128.4, 61.9]}
    assert point["properties"]["sign"] == "check"
    assert point["properties"]["due"] == ["before Tue 6 Jan 11:00 MST", "in 22 h 0 min"]
    assert shown[str(world.line)]["geometry"]["coordinates"][0] == [-128.42, 61.89]


def test_a_member_gets_no_place_of_a_set_that_is_not_theirs(world: World, student: Client) -> None:
    world.set("A-2", responsible=world.instructor)
    assert student.get("/t/north/map/sets.geojson").json()["features"] == []
    own = world.set("A-1")
    features = student.get("/t/north/map/sets.geojson").json()["features"]
    assert {one["id"] for one in features} == {str(own), str(world.line)}


@pytest.fixture
def tile(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(settings, "MEDIA_ROOT", str(tmp_path))
    path = tmp_path / "tiles" / "light" / "3" / "1" / "2.webp"
    path.parent.mkdir(parents=True)
    path.write_bytes(b"one picture")
    return path


def test_a_tile_is_kept_by_the_browser_until_it_changes(
    world: World, tile: Path, student: Client
) -> None:
    first = student.get("/tiles/light/3/1/2.webp")
    assert (first.status_code, first["Content-Type"]) == (200, "image/webp")
    known = {"If-None-Match": first["ETag"]}
    assert student.get("/tiles/light/3/1/2.webp", headers=known).status_code == 304
    tile.write_bytes(b"another picture")
    assert student.get("/tiles/light/3/1/2.webp", headers=known).status_code == 200


@pytest.mark.parametrize("address", ["light/3/1/3", "dark/3/1/2", "light/3/9/2", "light/99/0/0"])
def test_a_tile_that_is_not_there_is_not_found(
    world: World, tile: Path, student: Client, address: str
) -> None:
    assert student.get(f"/tiles/{address}.webp").status_code == 404


def test_the_map_page_names_the_variants_there_are(world: World, tile: Path, at: Clock) -> None:
    page = client_of(world.manager).get("/t/north/map/").content.decode()
    assert 'data-variants="light"' in page
    # Tile 3/1/2 of the usual web-mercator grid: 135 to 90 degrees west, 66.5 to 40.98 north.
    assert 'data-extent="40.97990 -135.00000 66.51326 -90.00000 3 3"' in page


@pytest.mark.parametrize("address", ["map/file/", "lines/{line}/file/"])
def test_sets_leave_as_a_file_for_other_programs(
    world: World, instructor: Client, address: str
) -> None:
    """GPX 1.1: waypoints with lat and lon; RFC 7946: longitude first. Read by gpxpy and json."""
    set_id = world.set("A-1")
    base = "/t/north/" + address.format(line=world.line)
    gpx = instructor.get(base + "gpx/")
    assert gpx["Content-Type"] == "application/gpx+xml"
    assert gpx["Content-Disposition"].endswith('.gpx"')
    read = gpxpy.parse(gpx.content.decode())
    assert [(one.name, one.latitude, one.longitude) for one in read.waypoints] == [
        ("A-1", 61.9, -128.4)
    ]
    features = instructor.get(base + "geojson/").json()["features"]
    assert {one["id"] for one in features} == {str(set_id), str(world.line)}
    assert instructor.get(base + "kml/").status_code == 404


def test_a_members_file_holds_only_the_places_of_their_own_sets(
    world: World, student: Client
) -> None:
    world.set("A-2", responsible=world.instructor)
    assert student.get("/t/north/map/file/geojson/").json()["features"] == []
    assert student.get(f"/t/north/lines/{world.line}/file/geojson/").status_code == 404
    own = world.set("A-1")
    for base in ("/t/north/map/file/", f"/t/north/lines/{world.line}/file/"):
        features = student.get(base + "geojson/").json()["features"]
        assert {one["id"] for one in features} == {str(own), str(world.line)}
        assert b"A-2" not in student.get(base + "gpx/").content
