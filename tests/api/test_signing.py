"""Tokens: given once, stored hashed, revoked; too many failures lock."""

from typing import Any

import pytest
from django.test import Client
from knox.models import AuthToken

from tests.api.caller import Caller, Cast, person_of
from tests.world import PASSWORD, World
from trapline.people.models import Membership, Person

SIGN_IN = {"name": "Signe.North", "password": PASSWORD}  # the name minds no capital letters


def test_a_name_and_a_password_give_a_token_that_opens_the_team(world: World) -> None:
    answer = Caller(None).post("sign-in/", SIGN_IN)
    assert answer.status_code == 201, answer.content
    token = answer.json()["token"]
    caller = Caller(token, "north")
    assert caller.get("me/").json()["name"] == "Signe"
    assert caller.get("./").status_code == 200
    row = AuthToken.objects.get()
    assert token not in (row.digest, row.token_key)
    assert row.token_key == token[: len(row.token_key)]
    assert [one["key"] for one in caller.get("tokens/").json()] == [row.token_key]


@pytest.mark.parametrize("how", ["sign-out/", "tokens/"])
def test_a_token_that_was_given_back_no_longer_holds(cast: Cast, how: str) -> None:
    caller = cast.student
    if how == "tokens/":
        (row,) = caller.get("tokens/").json()
        assert caller("DELETE", f"tokens/{row['key']}/").status_code == 204
    else:
        assert caller.post(how, None).status_code == 204
    answer = caller.get("me/")
    assert answer.status_code == 401
    assert answer["WWW-Authenticate"] == "Bearer"
    assert answer["Content-Type"] == "application/problem+json"


def test_anothers_token_cannot_be_revoked_and_looks_unknown(cast: Cast) -> None:
    (row,) = cast.manager.get("tokens/").json()
    answers = [cast.student("DELETE", f"tokens/{key}/") for key in (row["key"], "nothing")]
    assert [one.status_code for one in answers] == [404, 404]
    assert answers[0].content == answers[1].content
    assert cast.manager.get("me/").status_code == 200


def test_a_wrong_password_and_an_unknown_name_answer_the_same(world: World) -> None:
    answers = [
        Caller(None).post("sign-in/", {"name": name, "password": "wrong"})
        for name in ("signe.north", "nobody")
    ]
    assert [one.status_code for one in answers] == [400, 400]
    assert answers[0].content == answers[1].content


def test_eight_failures_lock_the_name_for_a_while_even_for_the_right_password(
    world: World,
) -> None:
    caller = Caller(None)
    last = [caller.post("sign-in/", {**SIGN_IN, "password": "wrong"}) for _ in range(8)][-1]
    assert last.status_code == 429
    answer = caller.post("sign-in/", {**SIGN_IN, "name": "SIGNE.north"})
    assert answer.status_code == 429
    assert answer["Content-Type"] == "application/problem+json"
    assert "15" in answer.json()["detail"]
    other = caller.post("sign-in/", {"name": "maud.north", "password": PASSWORD})
    assert other.status_code == 201


def test_the_twenty_first_token_ends_the_first(cast: Cast) -> None:
    first = cast.student
    for _ in range(20):
        assert Caller(None).post("sign-in/", SIGN_IN).status_code == 201
    assert first.get("me/").status_code == 401
    assert AuthToken.objects.filter(user__sign_in_name="signe.north").count() == 20


@pytest.mark.parametrize("header", ["Bearer", "Bearer a b", "Bearer \u00e5", "Bearer x", "Basic x"])
def test_a_broken_token_header_is_401(cast: Cast, header: str) -> None:
    answer = Caller(None, "north")("GET", "me/", Authorization=header)
    assert answer.status_code == 401


def test_who_has_left_the_team_or_may_not_sign_in_gets_no_further(cast: Cast, world: World) -> None:
    Membership._base_manager.filter(id=world.student.member).update(ended_at="2026-01-01T00:00Z")
    assert cast.student.get("./sets/").status_code == 404
    Person.objects.filter(id=person_of(world.manager).id).update(is_active=False)
    assert cast.manager.get("./sets/").status_code == 401


def test_a_session_of_the_pages_reads_and_writes_only_with_its_csrf_token(world: World) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(
        person_of(world.instructor),
        backend="django.contrib.auth.backends.ModelBackend",
    )
    caller = Caller(None, "north", client)
    assert caller.get("./lines/").status_code == 200
    body: dict[str, Any] = {"name": "R", "tz": "UTC", "travel": "ski"}
    refused = caller.post("./lines/", body)
    assert refused.status_code == 403
    assert refused["Content-Type"] == "application/problem+json"
    client.get("/sign-in/")  # a page that carries the token sets its cookie
    client.cookies["csrftoken"] = "a" * 32
    assert caller("POST", "./lines/", body, **{"X-CSRFToken": "a" * 32}).status_code == 201
