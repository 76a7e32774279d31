"""Pages about animals: the account balances, many are moved at once, a book shows each number."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from tests.pages.cast import client_of
from tests.pages.reading import words
from tests.record.acting import do
from tests.record.test_asked import SEAL, take
from tests.reports.season import Caught, animal, local, season
from tests.world import World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.kept.selectors import account, animals_asked
from trapline.lines.models import Check, Series

pytestmark = pytest.mark.django_db
LATER = local(9, 12)


def test_the_account_balances_once_somebody_has_said_where_each_animal_is(
    world: World, caught: Caught
) -> None:
    browser = client_of(world.manager)
    said = words(browser.get("/t/north/animals/"))
    assert "It does not balance: 1 entry stands on one side only." in said
    assert "Lynx 1 1 – Marten 1 – 1" in said
    page = browser.get("/t/north/animals/fur/")
    typed = {"act": page.context["form"].initial["act"], "state": "skinned",
             "animals": [str(caught.marten["animal"])], "place": "cold shed"}  # fmt: skip
    assert browser.post("/t/north/animals/fur/", typed).status_code == 302
    assert "It balances" in words(browser.get("/t/north/animals/"))
    assert "N7" in words(browser.get("/t/north/animals/?place=room"))
    assert "cold shed" in words(browser.get(f"/t/north/animals/{caught.marten['animal']}/"))


def test_what_is_told_of_an_animal_without_a_catch_is_a_difference(
    world: World, caught: Caught
) -> None:
    body = {"animals": [caught.marten["animal"]], "state": "skinned"}
    do(world.instructor, "move_pelts", body, LATER)
    with team_scope(world.team):
        check = Check.objects.get(found="animal", at=local(6, 9)).id
    back = {"corrects": check, "withdraw": True}
    do(world.instructor, "correct_check", back, LATER + timedelta(hours=1))
    with team_scope(world.team):
        told = account(world.team)
    assert ([one.animal for one in told.strays], told.difference) == ([body["animals"][0]], 1)
    assert "no catch of the record bears this animal" in words(
        client_of(world.manager).get("/t/north/animals/")
    )


def test_what_is_wrong_with_a_move_is_said_and_the_ticks_stay(world: World, caught: Caught) -> None:
    browser = client_of(world.instructor)
    page = browser.get("/t/north/animals/fur/")
    typed = {"act": page.context["form"].initial["act"], "state": "sold",
             "animals": [str(caught.marten["animal"])]}  # fmt: skip
    answer = browser.post("/t/north/animals/fur/", typed)
    assert answer.status_code == 422
    assert "Say to whom: the buyer, the receiver or the office." in words(answer)
    assert " checked" in answer.content.decode().split('name="animals"')[1].split(">")[0]


def test_an_animal_that_is_to_be_sealed_stands_there_until_it_is(world: World) -> None:
    take(world, SEAL)  # within 5 days of the catch
    season(world)
    said = words(client_of(world.manager).get("/t/north/animals/"))
    assert "overdue Seal or tag" in said
    with team_scope(world.team):
        (asked,) = animals_asked(world.team, world.student.member)
    done = {"evidence": new_id(), "duty": asked.duty, "number": "S-1", "on": "2026-01-09"}
    do(world.student, "give_evidence", done, LATER)
    with team_scope(world.team):
        assert animals_asked(world.team) == []


def _seen(browser: Client, *paths: str) -> list[int]:
    return [browser.get(path).status_code for path in paths]


def test_a_member_sees_the_animals_they_caught_and_no_others(world: World, caught: Caught) -> None:
    mine = f"/t/north/animals/{caught.marten['animal']}/"
    other = animal(world, site_tag="N9")
    world.check(
        world.instructor, world.set("S9", responsible=world.instructor), local(9, 9),
        found="animal", catches=[other],
    )  # fmt: skip
    theirs = f"/t/north/animals/{other['animal']}/"
    assert _seen(client_of(world.student), mine, theirs) == [200, 404]
    assert _seen(client_of(world.instructor), mine, theirs) == [200, 200]
    assert "N9" not in words(client_of(world.student).get("/t/north/animals/fur/"))


def test_a_book_shows_each_number_and_the_runs_that_nothing_was_done_with(
    world: World, caught: Caught
) -> None:
    with team_scope(world.team):
        series = Series.objects.get().id
    for number, more in ((9, {"use": "void"}), (41, {"use": "returned", "last": 50})):
        body: dict[str, Any] = {"series": series, "number": number, **more}
        do(world.instructor, "spend_number", body, LATER)
    browser = client_of(world.instructor)
    said = words(browser.get(f"/t/north/animals/numbers/{series}/"))
    assert "N1 – N6 Unused – N7 Used: Marten, 2026-01-06" in said
    assert "N8 Unused – N9 Void" in said
    assert "N10 – N40 Unused – N41 Returned" in said
    assert "N1 – N50 Site tag or coupon Ivar T-north 1 1 0 10 38 N1" in words(
        browser.get("/t/north/animals/numbers/")
    )
    student = client_of(world.student)
    assert _seen(student, f"/t/north/animals/numbers/{series}/") == [404]


def test_a_sample_goes_in_from_its_page(world: World, caught: Caught) -> None:
    browser = client_of(world.student)
    path = f"/t/north/animals/{caught.marten['animal']}/sample/"
    first = browser.get(path).context["form"].initial
    typed = {"act": first["act"], "sample": first["sample"], "what": "tooth", "label": "L-1"}
    assert browser.post(path, typed).status_code == 302
    page = browser.get("/t/north/animals/samples/")
    given = {"act": page.context["form"].initial["act"], "samples": [str(first["sample"])],
             "to": "District office"}  # fmt: skip
    assert browser.post("/t/north/animals/samples/", given).status_code == 302
    assert "L-1 Tooth Marten N7" in words(browser.get("/t/north/animals/samples/"))
