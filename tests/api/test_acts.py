"""Writing through the API: every call is an act, and can be repeated."""

from datetime import timedelta
from typing import Any
from uuid import UUID

from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.api.caller import Cast
from tests.world import PLACE, START, TZ, World
from trapline.duties.models import Duty
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.lines.models import Check
from trapline.record.desk import submit

QUIET = ("SAVEPOINT", "RELEASE", "BEGIN", "COMMIT")
AT = (START + timedelta(hours=20)).isoformat()


def check(set_id: UUID, **more: Any) -> dict[str, Any]:
    return {"set": str(set_id), "found": "in_order", "done": ["left"], "at": AT, **more}


def test_a_check_is_logged_and_the_next_is_due(cast: Cast, world: World) -> None:
    set_id = world.set("S1")
    answer = cast.student.post("./checks/", check(set_id))
    assert answer.status_code == 201, answer.content
    said = answer.json()
    assert said["state"] == "applied"
    assert answer["Location"] == said["url"]
    shown = cast.student.get(said["url"]).json()
    assert (shown["properties"]["set"], shown["properties"]["found"]) == (str(set_id), "in_order")
    with team_scope(world.team):
        duty = Duty.objects.get(set_id=set_id, state="open")
    assert duty.due_at == START + timedelta(hours=44)


def test_an_uneventful_check_through_the_api_takes_eleven_statements(
    cast: Cast, world: World
) -> None:
    set_id = world.set("S1")
    cast.student.post("./checks/", check(world.set("S2")))  # rules are read once and kept
    with CaptureQueriesContext(connection) as seen:
        answer = cast.student.post("./checks/", check(set_id))
    assert answer.status_code == 201
    said = [q["sql"] for q in seen if not q["sql"].startswith(QUIET)]
    # token with its person, membership; then the act’s nine: act, set at hand, rules that apply,
    # check, fold, duty, facts, findings, change count
    assert len(said) == 11, "\n\n".join(said)


def test_a_catch_on_a_snare_through_the_api_takes_at_most_eighteen_statements(
    cast: Cast, world: World
) -> None:
    set_id = world.set("S1")
    signed = {"member": world.instructor.member, "skill": world.skills["dispatch"]}
    submit(world.manager, "sign_off", signed, at=START)
    book = {"licence": world.licence, "kind": "site_tag", "prefix": "N", "first": 1, "last": 50}
    submit(world.manager, "issue_numbers", book, at=START)
    animal = {
        "animal": new_id(), "species": world.species["marten"], "alive_on_arrival": True,
        "fate": "dispatched", "means": "by the team's method", "site_tag": "N7",
        "dispatched_by": world.instructor.member,
    }  # fmt: skip
    cast.student.post("./checks/", check(world.set("S2")))  # rules are read once and kept
    with CaptureQueriesContext(connection) as seen:
        answer = cast.student.post("./checks/", check(set_id, found="animal", catches=[animal]))
    assert answer.status_code == 201, answer.content
    said = [q["sql"] for q in seen if not q["sql"].startswith(QUIET)]
    # the eleven of an uneventful check; who is signed off, the catch, books, the number, the parts
    # it spends, where parts are (a delete and an insert in one)
    assert len(said) <= 18, "\n\n".join(said)
    (caught,) = cast.student.list("./catches/")
    assert (caught["site_tag"], caught["set"]) == ("N7", str(set_id))


def test_the_same_call_again_is_200_and_other_content_409(cast: Cast, world: World) -> None:
    set_id, act = world.set("S1"), str(new_id())
    body = check(set_id, act=act)
    first = cast.student.post("./checks/", body)
    again = cast.student.post("./checks/", dict(reversed(body.items())))
    other = cast.student.post("./checks/", {**body, "note": "other"})
    assert [first.status_code, again.status_code, other.status_code] == [201, 200, 409]
    assert again.json() == first.json()
    assert other["Content-Type"] == "application/problem+json"
    assert other.json()["problems"][0]["code"] == "id_with_other_content"
    with team_scope(world.team):
        assert Check.objects.count() == 1


def test_an_id_without_its_time_is_refused_and_says_why(cast: Cast, world: World) -> None:
    body = check(world.set("S1"), act=str(new_id()))
    del body["at"]
    answer = cast.student.post("./checks/", body)
    assert answer.status_code == 400
    assert answer.json()["problems"][0]["field"] == "at"


def test_what_was_refused_leaves_no_act_and_names_every_field(cast: Cast, world: World) -> None:
    answer = cast.student.post("./checks/", {"set": "S1", "found": "nothing", "colour": 1})
    assert answer.status_code == 400
    said = {one["field"]: one["code"] for one in answer.json()["problems"]}
    assert said == {
        "set": "shape_uuid_parsing", "found": "shape_enum", "colour": "shape_extra_forbidden",
    }  # fmt: skip
    with team_scope(world.team):
        assert not Act.objects.filter(kind="log_check").exists()


def test_a_set_of_another_and_an_unknown_set_answer_the_same_bytes(
    cast: Cast, world: World
) -> None:
    theirs = world.set("S2", responsible=world.instructor)
    answers = [
        cast.student.post("./checks/", check(set_id)).content for set_id in (theirs, new_id())
    ]
    assert answers[0] == answers[1]
    paths = [f"./sets/{set_id}/pull/" for set_id in (theirs, new_id())]
    gone = [cast.student.post(path, {"at": AT}) for path in paths]
    assert [one.status_code for one in gone] == [404, 404]
    assert gone[0].content == gone[1].content


def test_what_cannot_be_applied_is_422_with_its_field(cast: Cast, world: World) -> None:
    set_id = world.set("S1")
    early = (START - timedelta(hours=1)).isoformat()
    answer = cast.student.post("./checks/", check(set_id, at=early))
    assert answer.status_code == 422
    assert answer.json()["problems"][0]["field"] == "at"
    ahead = cast.student.post("./checks/", check(set_id, at="2199-01-01T00:00:00Z"))
    assert ahead.status_code == 422
    assert ahead.json()["problems"][0] == {
        "field": "at",
        "code": "time_ahead",
        "detail": "This lies ahead of the server’s clock. Check date, time and zone.",
    }


def test_a_line_is_drawn_a_set_placed_handed_over_and_pulled(cast: Cast, world: World) -> None:
    drawn = cast.instructor.post(
        "./lines/",
        {
            "name": "Ridge line", "tz": TZ, "travel": "ski",
            "path": {"type": "LineString", "coordinates": [[-128.5, 61.9], [-128.4, 61.95]]},
        },
    )  # fmt: skip
    assert drawn.status_code == 201, drawn.content
    line = drawn.json()["id"]
    anew = cast.instructor("PUT", f"./lines/{line}/", {"name": "Ridge", "tz": TZ, "travel": "ski"})
    assert anew.status_code == 201, anew.content
    shown = cast.instructor.get(f"./lines/{line}/").json()
    assert (shown["geometry"], shown["properties"]["name"]) == (None, "Ridge")
    placed = cast.instructor.post(
        "./sets/",
        {
            "line": line, "label": "R1", "licence": world.licence, "place": PLACE,
            "placement": "land", "device": world.device("snare", "R1-device"),
            "responsible": world.student.member,
        },
    )  # fmt: skip
    assert placed.status_code == 201, placed.content
    url = placed.json()["url"]
    assert cast.student.get(url).status_code == 200
    given = cast.instructor.post(f"{url}hand-over/", {"to": world.instructor.member})
    assert given.status_code == 201, given.content
    assert cast.student.get(url).status_code == 404
    pulled = cast.instructor.post(f"{url}pull/", {"note": "thaw"})
    assert pulled.status_code == 201, pulled.content
    assert cast.instructor.get(url).json()["properties"]["ended"] == "pulled"
    assert cast.instructor.post(f"{url}lost/", {}).status_code == 404  # managers only


def test_an_animal_waits_and_is_released(cast: Cast, world: World) -> None:
    set_id = world.set("S1")
    raised = cast.student.post("./waitings/", {"set": set_id, "alive": True, "at": AT})
    assert raised.status_code == 201, raised.content
    assert {one["kind"] for one in cast.instructor.list("./duties/?open=true")} == {
        "check", "animal_waiting",
    }  # fmt: skip
    url = raised.json()["url"]
    closed = cast.student.post(f"{url}close/", {"fate": "released", "condition": "unhurt"})
    assert closed.status_code == 201, closed.content
    shown = cast.student.get(url).json()["properties"]
    assert (shown["fate"], shown["ended_at"] is not None) == ("released", True)
    again = cast.student.post(f"{url}close/", {"fate": "got_away"})
    assert (again.status_code, again.json()["problems"][0]["field"]) == (422, "waiting")


def test_a_check_is_corrected_and_both_stay(cast: Cast, world: World) -> None:
    set_id = world.set("S1")
    made = cast.student.post("./checks/", check(set_id)).json()["id"]
    told = {"check": new_id(), "set": set_id, "found": "damaged", "done": ["left"]}
    answer = cast.student.post(f"./checks/{made}/correction/", {"check": told})
    assert answer.status_code == 201, answer.content
    rows = {one["id"]: one["properties"] for one in cast.student.list("./checks/")}
    assert len(rows) == 2
    assert rows[made]["in_effect"] is False
    (effective,) = cast.student.list("./checks/?in_effect=true")
    assert effective["properties"]["corrects"] == made


def test_sign_offs_books_devices_readings_and_rulebooks_are_written(
    cast: Cast, world: World
) -> None:
    given = cast.instructor.post(
        "./sign-offs/", {"member": world.student.member, "skill": world.skills["dispatch"]}
    )
    assert given.status_code == 201, given.content
    (signed,) = cast.student.list("./sign-offs/?ended=false")
    ended = cast.instructor.post(f"./sign-offs/{signed['id']}/end/", {})
    assert ended.status_code == 201, ended.content
    assert cast.student.list("./sign-offs/?ended=false") == []
    book = {"licence": world.licence, "kind": "site_tag", "prefix": "N", "first": 1, "last": 9}
    assert cast.instructor.post("./number-books/", book).status_code == 201
    (listed,) = cast.student.get("./number-books/").json()
    assert (listed["first"], listed["last"], listed["used"]) == (1, 9, 0)
    device = {"kind": world.kinds["snare"], "mark": "X1"}
    device["parts"] = [{"kind": world.part_kinds["cable"]}]
    assert cast.instructor.post("./devices/", device).status_code == 201
    (built,) = cast.student.list("./devices/?mark=X1")
    assert built["in_use"] is False
    (part,) = cast.student.list(f"./parts/?device={built['id']}")
    assert (part["role"], part["state"]) == ("cable", "built_in")
    reading = {"line": world.line, "what": "snow_depth_m", "value": 0.4}
    assert cast.student.post("./readings/", reading).status_code == 201
    document = cast.manager.get(f"./rulebooks/{cast.manager.list('./rulebooks/')[0]['id']}/")
    taken = cast.manager.post("./rulebooks/", {"document": document.json()["document"]})
    assert taken.status_code == 201, taken.content
    assert len(cast.manager.list("./rulebooks/")) == 2
    broken = cast.manager.post("./rulebooks/", {"document": {"format": 1}})
    assert broken.status_code == 400
    assert "document.title" in {one["field"] for one in broken.json()["problems"]}


def test_a_pick_list_is_filled_with_what_the_api_says_would_fill_it(
    cast: Cast, world: World
) -> None:
    pick, wanted = new_id(), {"kind": world.kinds["snare"], "devices": 2}
    body = {"pick": pick, "name": "Creek", "wanted": [wanted]}
    submit(world.manager, "pick_gear", body, at=START, now=START)
    device, address = world.device("snare", "D1"), f"./picks/{pick}/fill/"
    said = cast.instructor.get(address).json()
    assert [one["id"] for one in said["devices"]] == [str(device)]
    assert said["lacking"] == [{"kind": "snare", "role": "", "count": 1}]
    sent = {"devices": [str(device)], "at": AT}
    assert cast.instructor.post(address, sent).status_code == 201
    assert cast.instructor.get(f"./picks/{pick}/").json()["devices"] == [str(device)]
    assert cast.instructor.get(address).json()["devices"] == []
    assert cast.instructor.post(address, {"at": AT}).status_code == 422
