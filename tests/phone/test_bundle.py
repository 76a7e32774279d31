"""What a phone carries: what its person may see, and no more; nothing where nothing changed."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.pages.cast import client_of
from tests.world import PASSWORD, World
from trapline.ground import clock
from trapline.ground.ids import new_id
from trapline.record.desk import submit

pytestmark = pytest.mark.django_db
ADDRESS = "/t/north/phone/bundle.json"
# session, person, membership, team; sets, lines, duties, checks, version, species, calls, members,
# books, devices, sign-offs, licences, permissions, papers, animals in hand
BUDGET = 4 + 15


def bundle(browser: Client) -> dict[str, Any]:
    answer = browser.get(ADDRESS)
    assert answer.status_code == 200
    made: dict[str, Any] = answer.json()
    return made


def placed(world: World) -> Any:
    now = clock.now()
    first = world.set("A-1", at=now - timedelta(hours=30))
    world.set("A-2", "body", at=now - timedelta(hours=2), responsible=world.instructor)
    world.check(world.student, first, now - timedelta(hours=3))
    return first


def test_a_member_carries_their_own_sets_and_a_leader_all(world: World) -> None:
    first = placed(world)
    theirs, all_ = bundle(client_of(world.student)), bundle(client_of(world.instructor))
    assert [(one["id"], one["label"], one["mine"]) for one in theirs["sets"]] == [
        (str(first), "A-1", True)
    ]
    assert {one["label"]: one["mine"] for one in all_["sets"]} == {"A-1": False, "A-2": True}
    assert [one["set"] for one in theirs["checks"]] == [str(first)]
    assert theirs["person"]["member"] == str(world.student.member)


def test_it_says_which_rule_binds_and_as_of_when(world: World) -> None:
    placed(world)
    carried = bundle(client_of(world.student))
    (duty,) = [one for one in carried["duties"] if one["kind"] == "check"]
    assert duty["rule"]["code"] == "holding-each-day"
    assert duty["due_at"] == carried["sets"][0]["due_at"]
    assert carried["rules"]["title"] == "Rules of an invented territory"


def test_an_animal_waiting_and_its_card_come_along(world: World) -> None:
    first = placed(world)
    body = {"waiting": new_id(), "set": first, "species": world.species["lynx"]}
    submit(world.student, "animal_waiting", body)
    carried = bundle(client_of(world.student))
    (alarm,) = [one for one in carried["duties"] if one["kind"] == "animal_waiting"]
    assert (alarm["set"], alarm["waiting"]) == (str(first), str(body["waiting"]))
    cards = {one["id"]: one["handling"] for one in carried["species"]}
    assert cards[alarm["species"]] == "leave_and_call"


def test_animals_in_hand_come_along_with_their_numbers_for_the_stop_page(world: World) -> None:
    first = placed(world)
    book = {"licence": world.licence, "kind": "seal", "prefix": "S-", "first": 7, "last": 9}
    submit(world.instructor, "issue_numbers", book)
    marten = {"animal": new_id(), "species": world.species["marten"], "alive_on_arrival": False}
    taken, gone = {**marten, "fate": "found_dead", "seal": "S-7"}, {**marten, "animal": new_id()}
    gone |= {"alive_on_arrival": True, "fate": "released"}
    world.check(
        world.student, first, clock.now() - timedelta(hours=1), found="animal", done=["remade"],
        catches=[taken, gone],
    )  # fmt: skip
    (one,) = bundle(client_of(world.student))["papers"]["animals"]
    assert (one["animal"], one["species"], one["seal"], one["label"]) == (
        str(taken["animal"]), "Marten", "S-7", "A-1",
    )  # fmt: skip
    holder = bundle(client_of(world.instructor))["papers"]["animals"]  # whose licence it counts on
    assert [each["animal"] for each in holder] == [one["animal"]]
    assert bundle(client_of(world.manager))["papers"]["animals"] == []


def test_what_did_not_change_is_not_sent_again(world: World) -> None:
    first = placed(world)
    browser = client_of(world.student)
    etag = browser.get(ADDRESS)["ETag"]
    assert browser.get(ADDRESS, headers={"If-None-Match": etag}).status_code == 304
    world.check(world.student, first, clock.now())
    assert browser.get(ADDRESS, headers={"If-None-Match": etag}).status_code == 200


def test_it_takes_the_same_statements_whatever_the_team_has(world: World) -> None:
    placed(world)
    browser = client_of(world.manager)
    browser.get(ADDRESS)
    for number in range(3, 8):
        with CaptureQueriesContext(connection) as seen:
            browser.get(ADDRESS)
        assert len(seen) == BUDGET, [one["sql"][:90] for one in seen]
        world.set(f"A-{number}", at=clock.now() - timedelta(hours=1))


def test_the_token_of_one_sign_in_is_worth_nothing_under_another(world: World) -> None:
    """So that a queue goes only under the sign-in of the person whose it is."""
    phone = Client(enforce_csrf_checks=True)
    sign_in(phone, "signe.north")
    token = phone.get("/phone/who.json").json()["csrf"]
    assert send(phone, token) == 200
    assert phone.post("/sign-out/", headers={"X-CSRFToken": token}).status_code == 302
    sign_in(phone, "ivar.north")
    assert send(phone, token) == 403
    assert send(phone, phone.get("/phone/who.json").json()["csrf"]) == 200


def sign_in(browser: Client, name: str) -> None:
    browser.get("/sign-in/")
    said = {
        "username": name, "password": PASSWORD,
        "csrfmiddlewaretoken": browser.cookies["csrftoken"].value,
    }  # fmt: skip
    assert browser.post("/sign-in/", said).status_code == 302


def send(browser: Client, token: str) -> int:
    batch = {"sent_at": clock.now().isoformat(), "acts": []}
    answer = browser.post(
        "/api/v1/sync/", batch, "application/json", headers={"X-CSRFToken": token}
    )
    return answer.status_code
