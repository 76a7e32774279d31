"""The land's pages: permissions and features, drawn, typed or from a file."""

import json
from datetime import datetime
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from pyproj import Geod

from tests.pages.reading import filled, form_with, words
from tests.world import World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.land.models import Feature, Permission
from trapline.record.desk import submit

pytestmark = pytest.mark.django_db
NEW = "/t/north/land/permissions/new/"
CORNERS = "61.80, -128.50\n61.80, -128.30\n61.90, -128.30"
RING = [[-128.5, 61.8], [-128.3, 61.8], [-128.3, 61.9], [-128.5, 61.8]]
AREA = {"type": "Polygon", "coordinates": [RING]}
HOLED = {
    "type": "Polygon",
    "coordinates": [
        [[0, 0], [3, 0], [3, 3], [0, 3], [0, 0]], [[1, 1], [1, 2], [2, 2], [2, 1], [1, 1]],
    ],
}  # fmt: skip


def paper(opened: Any, **typed: Any) -> dict[str, Any]:
    basics = {
        "name": "Lower field", "holder": "The mill", "contact": "at the mill", "parcel": CORNERS,
        "valid_from": "2025-09-01", "valid_until": "2026-01-20",
    }  # fmt: skip
    return filled(opened, "parcel", **(basics | typed))


def kept(world: World, **other: Any) -> Any:
    body = {
        "permission": new_id(), "parcel": AREA, "name": "Lower field", "holder": "The mill",
        "contact": "at the mill", "valid_from": "2025-09-01", "valid_until": "2026-06-30", **other,
    }  # fmt: skip
    submit(world.manager, "keep_permission", body)
    return body["permission"]


def test_a_parcel_is_drawn_corner_by_corner_and_its_ring_closes_itself(
    world: World, manager: Client
) -> None:
    answer = manager.post(NEW, paper(manager.get(NEW)))
    assert answer.status_code == 302, words(answer)
    with team_scope(world.team):
        found = Permission.objects.get()
    assert found.parcel.coords == ((tuple(map(tuple, RING)),),)
    page = words(manager.get("/t/north/land/"))
    assert "Lower field The mill · at the mill" in page
    assert "ends in 15 days" in page


def test_a_parcel_comes_from_a_geojson_file_with_its_holes(world: World, manager: Client) -> None:
    raw = {"type": "FeatureCollection", "features": [
        {"type": "Feature", "geometry": one, "properties": {}} for one in (HOLED, AREA)
    ]}  # fmt: skip
    file = SimpleUploadedFile("parcel.geojson", json.dumps(raw).encode())
    typed = paper(manager.get(NEW), parcel="", parcel_file=file)
    assert manager.post(NEW, typed).status_code == 302
    with team_scope(world.team):
        found = Permission.objects.get()
    assert [len(rings) for rings in found.parcel.coords] == [2, 1]
    change = f"/t/north/land/permissions/{found.id}/"
    answer = manager.post(change, filled(manager.get(change), "parcel", valid_until="2027-01-20"))
    assert answer.status_code == 302, words(answer)
    with team_scope(world.team):
        again = Permission.objects.get()
    assert again.parcel.coords == found.parcel.coords, "a renewal leaves the parcel as it was"
    assert str(again.valid_until) == "2027-01-20"


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"parcel": ""}, "Draw the parcel, type its corners, or choose a file."),
        ({"parcel": "61.8, -128.5\n61.9, -128.3"}, "An area needs three places or more"),
        ({"parcel": "61.8, -128.5\nby the mill"}, "Line 2: give latitude and longitude"),
        ({"parcel": '{"type": "Polygon"\n,}'}, "Line 2: Column 2: this is no JSON"),
        ({"parcel": '{"type": "Point", "coordinates": [1, 2]}'}, "There is no area"),
        ({"parcel": "0, 0\n1, 1\n0, 1\n1, 0"}, "The outline crosses itself"),
        ({"valid_until": "2025-08-01"}, "The last day lies before the first."),
        (
            {"parcel_file": SimpleUploadedFile("a.geojson", b'{"type": "Feature",\n}')},
            "Line 2: Column 1: this is no JSON",
        ),
    ],
)
def test_a_permission_that_does_not_fit_is_shown_again_with_the_reason(
    world: World, manager: Client, typed: dict[str, Any], sentence: str
) -> None:
    answer = manager.post(NEW, paper(manager.get(NEW), **typed))
    assert answer.status_code == 422
    assert sentence in words(answer)
    assert form_with(answer, "parcel").values["name"] == ["Lower field"]
    with team_scope(world.team):
        assert not Permission.objects.exists()


def test_a_member_sees_where_they_may_go_and_nobodys_contact(
    world: World, student: Client, instructor: Client
) -> None:
    kept(world)
    kept(world, name="Upper field", members=[world.instructor.member])
    page = words(student.get("/t/north/land/"))
    assert "Lower field" in page
    assert "at the mill" not in page
    assert "Upper field" not in page
    layer = student.get("/t/north/land/layer.geojson").json()["features"]
    assert [one["properties"]["name"] for one in layer] == ["Lower field"]
    assert "contact" not in layer[0]["properties"]
    full = words(instructor.get("/t/north/land/"))
    assert "at the mill" in full
    assert "Upper field" in full


def test_a_renewal_stands_on_today_until_it_is_done(
    world: World, manager: Client, student: Client, at: Any
) -> None:
    key = kept(world, valid_until="2026-01-20")
    page = manager.get("/t/north/")
    assert "Lower field" in words(page)
    assert "Renew the permission" in words(page)
    assert f"/t/north/land/permissions/{key}/" in page.content.decode()
    assert "Lower field" not in words(student.get("/t/north/"))
    end = f"/t/north/land/permissions/{key}/end/"
    answer = manager.post(end, filled(manager.get(end), "from_day", from_day="2026-01-21"))
    assert answer.status_code == 302, words(answer)
    assert "Renew the permission" not in words(manager.get("/t/north/"))
    assert "not to be renewed" in words(manager.get("/t/north/land/"))


def test_the_days_of_renewal_are_set(world: World, manager: Client) -> None:
    page = "/t/north/land/renewals/"
    assert manager.post(page, filled(manager.get(page), "days", days="5")).status_code == 302
    assert "To be renewed 5 days before they end." in words(manager.get("/t/north/land/"))
    assert manager.post(page, filled(manager.get(page), "days", days="400")).status_code == 422


@pytest.mark.parametrize(
    ("drawn", "places", "made"),
    [
        ("point", "61.9, -128.4", "Point"),
        ("path", "61.9, -128.4\n61.91, -128.41", "LineString"),
        ("path", "61.9, -128.4\n61.91, -128.41\n\n61.92, -128.4\n61.93, -128.4",
         "MultiLineString"),
        ("area", CORNERS, "MultiPolygon"),
        ("path", '{"type": "LineString", "coordinates": [[1, 2], [3, 4]]}', "LineString"),
    ],
)  # fmt: skip
def test_a_feature_is_drawn_changed_and_taken_off(
    world: World, instructor: Client, drawn: str, places: str, made: str
) -> None:
    new = "/t/north/land/features/new/"
    typed = filled(instructor.get(new), "shape", kind="trail", drawn=drawn, shape=places)
    assert instructor.post(new, typed).status_code == 302
    with team_scope(world.team):
        found = Feature.objects.get()
    assert found.shape.geom_type == made
    change = f"/t/north/land/features/{found.id}/"
    answer = instructor.post(change, filled(instructor.get(change), "shape", name="Old trail"))
    assert answer.status_code == 302, words(answer)
    with team_scope(world.team):
        again = Feature.objects.get()
    assert (again.name, again.shape.coords) == ("Old trail", found.shape.coords)
    drop = filled(instructor.get(change), "shape", drop="1")
    assert instructor.post(change, drop).status_code == 302
    with team_scope(world.team):
        assert not Feature.objects.exists()


def _file(*features: tuple[Any, dict[str, Any]], name: str = "land.geojson") -> Any:
    raw = {"type": "FeatureCollection", "features": [
        {"type": "Feature", "geometry": geometry, "properties": said}
        for geometry, said in features
    ]}  # fmt: skip
    return SimpleUploadedFile(name, json.dumps(raw).encode())


def test_an_import_is_shown_before_it_is_taken(world: World, instructor: Client) -> None:
    page = "/t/north/land/features/import/"
    good = ({"type": "LineString", "coordinates": RING[:2]}, {"name": "Ski trail"})
    bad = ({"type": "MultiPoint", "coordinates": [[1, 2]]}, {"name": "Posts"})
    typed = filled(instructor.get(page), "kind", kind="trail", file=_file(good, bad))
    shown = instructor.post(page, typed)
    assert shown.status_code == 200, words(shown)
    assert "1 of 2" in words(shown)
    _a, _b, metres = Geod(ellps="WGS84").inv(-128.5, 61.8, -128.3, 61.8)
    assert f"Ski trail {metres / 1000:.2f} km comes in" in words(shown).replace("\xa0", " ")
    assert "Posts stays out : A MultiPoint is not taken" in words(shown)
    with team_scope(world.team):
        assert not Feature.objects.exists()
    take = filled(shown, "said")
    done = instructor.post("/t/north/land/features/import/confirm/", take)
    assert done.status_code == 302, words(done)
    again = instructor.post("/t/north/land/features/import/confirm/", take)
    assert again.status_code == 302, "the button pressed twice takes it once"
    with team_scope(world.team):
        assert [one.name for one in Feature.objects.all()] == ["Ski trail"]


@pytest.mark.parametrize(
    ("file", "sentence"),
    [
        (SimpleUploadedFile("land.geojson", b'{"type":\n nothing}'), "Line 2: Column 2"),
        (SimpleUploadedFile("land.gpx", b"<gpx"), "The file is broken here"),
        (SimpleUploadedFile("land.shp", b"x"), "A GeoJSON or a GPX file is needed"),
    ],
)
def test_a_broken_file_is_refused_whole_with_its_place_named(
    world: World, instructor: Client, file: Any, sentence: str
) -> None:
    page = "/t/north/land/features/import/"
    answer = instructor.post(page, filled(instructor.get(page), "kind", file=file))
    assert answer.status_code == 422
    assert sentence in words(answer)


def test_what_comes_back_broken_is_not_taken(world: World, instructor: Client) -> None:
    page = "/t/north/land/features/import/confirm/"
    for said in ("[1]", "{", '{"features": []}'):
        answer = instructor.post(page, {"act": new_id(), "said": said})
        assert answer.status_code == 422, said
        assert "Not kept yet" in words(answer)


def test_the_layer_says_what_holds_today(world: World, manager: Client, at: Any) -> None:
    """RFC 7946: a FeatureCollection; longitude first."""
    kept(world)
    at(datetime.fromisoformat("2026-07-02T12:00:00+00:00"))
    answer = manager.get("/t/north/land/layer.geojson")
    assert answer["Content-Type"] == "application/geo+json"
    (one,) = answer.json()["features"]
    assert one["geometry"]["coordinates"][0][0][0] == [-128.5, 61.8]
    assert one["properties"]["holds"] is False


def test_a_permission_holds_until_its_last_day_has_ended_where_the_team_is(
    world: World, manager: Client, at: Any
) -> None:
    """Seven hours west of Greenwich the evening of 30 June is already 1 July in UTC."""
    permission = kept(world)
    for moment, holds in (
        ("2026-07-01T06:59:00+00:00", True),
        ("2026-07-01T07:01:00+00:00", False),
    ):
        at(datetime.fromisoformat(moment))
        (one,) = manager.get("/t/north/land/layer.geojson").json()["features"]
        assert one["properties"]["holds"] is holds
        assert ("No permission is in force" in words(manager.get("/t/north/land/"))) is not holds
        ending = manager.get(f"/t/north/land/permissions/{permission}/end/")
        assert ending.context["form"].initial["from_day"].day == (30 if holds else 1)
