"""A team settles in through the API: people, papers, gear, land, notices."""

from typing import Any

from tests.api.caller import Cast
from tests.world import World
from trapline.ground.ids import new_id
from trapline.people.models import Person

PARCEL: dict[str, Any] = {
    "type": "Polygon",
    "coordinates": [[[-128.5, 61.8], [-128.3, 61.8], [-128.3, 62.0], [-128.5, 61.8]]],
}


def test_a_member_is_enrolled_without_a_password_and_leaves(cast: Cast, world: World) -> None:
    said = {"name": "Runa", "sign_in_name": "runa", "role": "member",
            "instructor": world.instructor.member}  # fmt: skip
    made = cast.manager.post("./members/", said)
    assert made.status_code == 201, made.content
    assert not Person.objects.get(sign_in_name="runa").has_usable_password()
    url = made.json()["url"]
    assert cast.manager.get(url).json()["name"] == "Runa"
    left = cast.manager("PUT", url, {"role": "member", "ended": True})
    assert left.status_code == 201, left.content
    assert cast.manager.get(url).json()["ended_at"] is not None
    assert url.split("/")[-2] not in {
        one["id"] for one in cast.manager.list("./members/?ended=false")
    }
    last = cast.manager("PUT", f"./members/{world.manager.member}/", {"role": "member"})
    assert (last.status_code, last.json()["problems"][0]["code"]) == (422, "last_manager")


def test_papers_and_kinds_are_entered_and_said_anew(cast: Cast, world: World) -> None:
    licence = {"holder": world.instructor.member, "number": "T-9", "authority": "territory",
               "valid_from": "2026-07-01", "valid_until": "2027-06-30"}  # fmt: skip
    skill = {"code": "boat", "name": "Boat work"}
    part = {"role": "stop", "name": "Deer stop", "breaking_load_n": 1500.0,
            "breaking_load_source": "the maker's sheet", "price": "1.50"}  # fmt: skip
    device = {"name": "Light snare", "device_class": "snare", "action": "holding",
              "parts": [{"role": "cable", "after_catch": "spent"}]}  # fmt: skip
    paper = {"licence": world.licence, "agent": world.student.member, "may": ["tend", "carry"],
             "reference": "Letter 4", "valid_from": "2026-07-01",
             "valid_until": "2026-07-31"}  # fmt: skip
    for noun, body in (("licences", licence), ("papers", paper), ("skills", skill),
                       ("part-kinds", part), ("device-kinds", device)):  # fmt: skip
        assert cast.student.post(f"./{noun}/", body).status_code == 404
        made = cast.instructor.post(f"./{noun}/", body)
        assert made.status_code == 201, made.content
        if made.json()["url"] is None:
            continue
        anew = cast.instructor("PUT", made.json()["url"], {**body, "name": "Renamed"})
        closed = noun in ("licences", "papers")  # a name is nothing of theirs
        assert anew.status_code == (400 if closed else 201), anew.content
    (kind,) = [one for one in cast.student.list("./device-kinds/") if one["name"] == "Renamed"]
    assert [one["role"] for one in kind["parts"]] == ["cable"]
    assert cast.student.list("./licences/?valid_on=2026-08-01")[0]["number"] == "T-9"
    assert cast.student.list("./papers/?valid_on=2026-07-31")[0]["may"] == ["tend", "carry"]
    assert cast.student.list("./papers/?valid_on=2026-08-01") == []


def test_a_row_that_is_not_there_cannot_be_said_anew(
    cast: Cast, world: World, other_world: World
) -> None:
    for noun in ("members", "licences", "part-kinds", "device-kinds", "features", "permissions",
                 "lines"):  # fmt: skip
        assert cast.manager("PUT", f"./{noun}/{new_id()}/", {}).status_code == 404
    assert cast.manager("PUT", f"./licences/{other_world.licence}/", {}).status_code == 404


def test_land_is_drawn_and_given_back_as_geojson(cast: Cast) -> None:
    kept = cast.manager.post(
        "./permissions/",
        {"parcel": PARCEL, "name": "East", "holder": "A neighbour", "valid_from": "2026-01-01",
         "valid_until": "2026-12-31"},
    )  # fmt: skip
    assert kept.status_code == 201, kept.content
    shown = cast.instructor.get(kept.json()["url"]).json()
    assert shown["geometry"] == {"type": "MultiPolygon", "coordinates": [PARCEL["coordinates"]]}
    assert cast.student.get("./permissions/").status_code == 404
    trail = {"type": "LineString", "coordinates": [[-128.5, 61.9], [-128.4, 61.95]]}
    drawn = cast.instructor.post("./features/", {"kind": "trail", "shape": trail})
    assert drawn.status_code == 201, drawn.content
    (feature,) = cast.student.list("./features/?kind=trail")
    assert feature["geometry"] == trail
    off = {"type": "Point", "coordinates": [-128.5, 161.9]}
    refused = cast.instructor.post("./features/", {"kind": "dwelling", "shape": off})
    assert refused.status_code == 400
    assert refused.json()["problems"][0]["field"].startswith("shape")


def test_who_is_told_when_is_set_by_managers(cast: Cast) -> None:
    said = {"kind": "check", "stages": [{"offset_s": -7200, "recipient": "responsible"}]}
    put = cast.manager("PUT", "./notice-stages/", said)
    assert put.status_code == 201, put.content
    stages = [one for one in cast.manager.get("./notice-stages/").json() if one["kind"] == "check"]
    assert [(one["offset_s"], one["recipient"]) for one in stages] == [(-7200, "responsible")]
