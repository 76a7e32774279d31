"""What each role reads, and in how many statements."""

import hashlib
from typing import Any

from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.api.caller import Cast
from tests.record.pictures import a_jpeg, told_of
from tests.world import PLACE, START, World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.record.desk import submit
from trapline.record.keep_photo import keep_photo

LISTS = (
    "members", "licences", "papers", "skills", "sign-offs", "lines", "readings", "sets", "checks",
    "catches", "waitings", "device-kinds", "devices", "part-kinds", "parts", "rulebooks",
    "authorities", "rules", "seasons", "species", "zones", "features", "duties", "acts",
)  # fmt: skip
PLACES = ("lines", "sets", "checks", "waitings", "zones", "features", "permissions")


def test_every_list_takes_three_statements_however_long(cast: Cast, world: World) -> None:
    for label in ("S1", "S2"):
        world.check(world.student, world.set(label), START)
    for noun in [*LISTS, "permissions", "notices"]:
        with CaptureQueriesContext(connection) as seen:
            cast.manager.list(f"./{noun}/")
        # token with its person, membership, rows
        assert len(seen) == 3, (noun, [q["sql"] for q in seen])


def test_whatever_has_a_place_is_geojson(cast: Cast, world: World) -> None:
    set_id = world.set("S1")
    world.check(world.student, set_id, START)
    for noun in PLACES:
        answer = cast.manager.get(f"./{noun}/")
        assert answer["Content-Type"] == "application/geo+json"
        said = answer.json()
        assert said["type"] == "FeatureCollection"
        for feature in said["features"]:
            assert feature["type"] == "Feature"
            assert {"id", "geometry", "properties"} <= set(feature)


def test_a_set_stands_where_it_was_placed_longitude_first(cast: Cast, world: World) -> None:
    set_id = world.set("S1")
    (feature,) = cast.manager.list("./sets/")
    assert feature["id"] == str(set_id)
    assert feature["geometry"] == {"type": "Point", "coordinates": list(PLACE)}
    assert feature["properties"]["label"] == "S1"
    assert feature["properties"]["targets"] == [str(world.species["marten"])]
    assert feature["properties"]["due_at"] == "2026-01-06T18:00:00Z"
    assert cast.manager.get(f"./sets/{set_id}/").json() == feature


def test_a_check_lists_its_photographs_and_which_of_them_have_come(
    cast: Cast, world: World
) -> None:
    made = world.check(world.student, world.set("S1"), START)
    told = {new_id(): a_jpeg(), new_id(): a_jpeg(colour="#884422")}
    for photo, raw in told.items():
        submit(world.student, "attach_photo", told_of(photo, made, raw), at=START, now=START)
    first, other = told
    with team_scope(world.team):
        keep_photo(world.student, first, told[first], received_at=START)
    (check,) = cast.student.list("./checks/")
    hashed = {photo: hashlib.sha256(raw).hexdigest() for photo, raw in told.items()}
    assert check["properties"]["photos"] == [
        {"id": str(first), "sha256": hashed[first], "size": len(told[first]), "came": True},
        {"id": str(other), "sha256": hashed[other], "size": len(told[other]), "came": False},
    ]
    assert cast.student.get(f"./checks/{made}/").json() == check


def test_a_student_sees_only_the_sets_they_look_after(cast: Cast, world: World) -> None:
    mine = world.set("S1")
    other = world.set("S2", responsible=world.instructor)
    for set_id in (mine, other):
        world.check(world.instructor, set_id, START)
    assert [one["id"] for one in cast.student.list("./sets/")] == [str(mine)]
    assert [one["properties"]["set"] for one in cast.student.list("./checks/")] == [str(mine)]
    assert {one["set"] for one in cast.student.list("./duties/")} == {str(mine)}
    assert len(cast.instructor.list("./sets/")) == 2
    assert cast.student.get(f"./sets/{other}/").status_code == 404
    assert cast.student.get(f"./sets/{other}/timeline/").status_code == 404


def test_a_student_without_a_set_on_a_line_does_not_see_its_path(cast: Cast, world: World) -> None:
    assert cast.student.list("./lines/") == []
    world.set("S1")
    assert len(cast.student.list("./lines/")) == 1


def test_pages_follow_one_another_and_miss_nothing(cast: Cast, world: World) -> None:
    made = {str(world.set(f"S{number}")) for number in range(5)}
    seen: list[str] = []
    url: Any = "./sets/?limit=2"
    while url:
        said = cast.manager.get(url).json()
        seen += [one["id"] for one in said["features"]]
        url = said["next"] and said["next"].removeprefix("http://testserver")
    assert len(seen) == 5
    assert set(seen) == made


def test_sets_are_filtered(cast: Cast, world: World) -> None:
    world.set("S1")
    world.set("S2")
    for query, count in (
        ("label=S1", 1),
        ("active=true", 2),
        ("active=false", 0),
        ("placement=under_ice", 0),
        ("device_class=snare", 2),
        ("zone=A", 2),
        ("zone=B", 0),
        ("bbox=-129,61,-128,62", 2),
        ("bbox=-127,61,-126,62", 0),
        ("due_before=2026-01-06T18:00:01Z", 2),
        ("due_before=2026-01-06T18:00:00Z", 0),
    ):
        assert len(cast.manager.list(f"./sets/?{query}")) == count, query


def test_duties_are_filtered_by_set_with_the_animals_that_wait_there(
    cast: Cast, world: World
) -> None:
    own, other = world.set("S1"), world.set("S2")
    cast.student.post("./waitings/", {"set": own})
    kinds = [one["kind"] for one in cast.manager.list(f"./duties/?set={own}")]
    assert sorted(kinds) == ["animal_waiting", "check"]
    (duty,) = cast.manager.list(f"./duties/?set={other}&open=true")
    assert (duty["kind"], duty["set"], duty["recomputing"]) == ("check", str(other), False)
    assert cast.manager.list("./duties/?open=false") == []


def test_a_filter_that_cannot_be_read_is_named(cast: Cast) -> None:
    for query, field in (
        ("lin=3", "lin"),
        ("line=3", "line"),
        ("line=", "line"),
        ("label=S1&label=S2", "label"),
        ("active=perhaps", "active"),
        ("placement=tree", "placement"),
        ("bbox=1,2,3", "bbox"),
        ("bbox=nan,2,3,4", "bbox"),
        ("limit=0", "limit"),
        ("limit=501", "limit"),
        ("cursor=zzz", "cursor"),
        ("cursor=cD16eno%3D", "cursor"),  # well formed, but its place is no key: p=zzz
        ("due_before=soon", "due_before"),
        ("due_before=2026-01-05T00:00:00", "due_before"),  # without its offset
        ("due_before=0311-06-13T17:30:31Z", "due_before"),
        ("format=json", "format"),
    ):
        answer = cast.manager.get(f"./sets/?{query}")
        assert answer.status_code == 400, query
        assert answer["Content-Type"] == "application/problem+json"
        assert [one["field"] for one in answer.json()["problems"]] == [field]


def test_an_offset_that_iso_8601_allows_and_postgresql_does_not_is_taken(cast: Cast) -> None:
    assert cast.manager.list("./sets/?due_before=2026-01-06T18:00:00-17:39") == []


def test_a_parameter_that_an_address_does_not_take_is_refused_everywhere(
    cast: Cast, world: World
) -> None:
    for path in ("./", f"./sets/{world.set('S1')}/", "me/", "./reports/harvest/", "schema/"):
        assert cast.manager.get(f"{path}?colour=red").status_code == 400, path


def test_a_team_is_read_with_ones_own_membership(cast: Cast, world: World) -> None:
    said = cast.student.get("./").json()
    assert (said["slug"], said["role"], said["member"]) == (
        "north", "member", str(world.student.member),
    )  # fmt: skip
    assert [one["slug"] for one in cast.student.get("teams/").json()] == ["north"]


def test_a_version_of_the_rulebook_gives_its_document(cast: Cast) -> None:
    (listed,) = cast.student.list("./rulebooks/")
    assert "document" not in listed
    whole = cast.student.get(f"./rulebooks/{listed['id']}/").json()
    assert whole["document"]["title"] == "Rules of an invented territory"


def test_the_timeline_tells_what_happened(cast: Cast, world: World) -> None:
    set_id = world.set("S1")
    world.check(world.student, set_id, START)
    events = cast.student.get(f"./sets/{set_id}/timeline/").json()
    assert {event["kind"] for event in events} >= {"check", "placed"}
