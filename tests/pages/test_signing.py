"""Signing in and out, the lock after too many failures, a person's own settings."""

import pytest
from axes.utils import reset
from django.conf import settings
from django.test import Client

from tests.pages.reading import filled, words
from tests.world import PASSWORD, World
from trapline.people.models import Membership, Person, Team

pytestmark = pytest.mark.django_db


def sign_in(browser: Client, name: str, password: str = PASSWORD) -> int:
    sent = filled(browser.get("/sign-in/"), "username", username=name, password=password)
    return browser.post("/sign-in/", sent).status_code


def test_the_sign_in_name_does_not_mind_capital_letters(world: World) -> None:
    assert sign_in(Client(), "MAUD.North") == 302


def test_a_wrong_password_says_what_to_look_at_and_keeps_the_name(world: World) -> None:
    browser = Client()
    answer = browser.post("/sign-in/", {"username": "maud.north", "password": "wrong"})
    assert answer.status_code == 422
    assert "do not belong together" in words(answer)
    assert b'value="maud.north"' in answer.content


def test_too_many_failures_lock_the_name_and_say_for_how_long(world: World) -> None:
    browser = Client()
    for _attempt in range(settings.AXES_FAILURE_LIMIT):
        answer = browser.post("/sign-in/", {"username": "maud.north", "password": "wrong"})
    assert answer.status_code == 429
    assert "For 15 minutes no password opens it" in words(answer)
    assert sign_in(Client(), "maud.north") == 429
    reset()
    assert sign_in(Client(), "maud.north") == 302


def test_who_is_in_one_team_goes_straight_to_its_today(world: World) -> None:
    browser = Client()
    sign_in(browser, "signe.north")
    assert browser.get("/")["Location"] == "/t/north/"


def test_who_is_in_two_teams_chooses(world: World) -> None:
    second = Team.objects.create(name="Evening class", slug="evening")
    person = Person.objects.get(sign_in_name="signe.north")
    Membership._base_manager.create(team=second, person=person, role="instructor", name="Signe")
    browser = Client()
    sign_in(browser, "signe.north")
    assert "Evening class Instructor Team north Member" in words(browser.get("/"))


def test_after_signing_in_one_is_where_one_wanted_to_be(world: World) -> None:
    browser = Client()
    away = browser.get("/t/north/rules/")
    assert away["Location"] == "/sign-in/?next=/t/north/rules/"
    form = browser.get(away["Location"])
    sent = filled(form, "username", username="maud.north", password=PASSWORD)
    assert browser.post("/sign-in/", sent)["Location"] == "/t/north/rules/"


def test_signing_out_ends_the_session(world: World) -> None:
    browser = Client()
    sign_in(browser, "maud.north")
    assert browser.post("/sign-out/").status_code == 302
    assert browser.get("/t/north/").status_code == 302


def test_a_person_chooses_light_and_units(world: World, student: Client) -> None:
    assert b'data-light="system"' in student.get("/settings/").content
    sent = filled(student.get("/settings/"), "email", light="red", units="imperial")
    assert student.post("/settings/", sent).status_code == 302
    assert b'data-light="red"' in student.get("/settings/").content


def test_an_address_that_somebody_has_is_refused(world: World, student: Client) -> None:
    sent = filled(student.get("/settings/"), "email", email="MAUD@north.example")
    answer = student.post("/settings/", sent)
    assert answer.status_code == 422
    assert "Somebody else signs in with this e-mail." in words(answer)


def test_a_new_password_keeps_the_session(world: World, student: Client) -> None:
    new = "moss-ladder-77"
    sent = {"old_password": PASSWORD, "new_password1": new, "new_password2": new}
    assert student.post("/settings/password/", sent).status_code == 302
    assert student.get("/t/north/").status_code == 200
    assert sign_in(Client(), "signe.north", new) == 302


def test_the_page_allows_no_script_and_no_style_of_its_own(world: World, student: Client) -> None:
    policy = student.get("/t/north/")["Content-Security-Policy"]
    assert "unsafe-inline" not in policy
    assert "script-src 'self'" in policy
    assert "style-src 'self'" in policy


def test_the_supervisor_is_answered_without_a_person(world: World) -> None:
    answer = Client().get("/healthz")
    assert (answer.status_code, answer.content) == (200, b"ok\n")
