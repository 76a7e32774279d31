"""One form for everything that goes wrong (RFC 9457, Problem Details for HTTP APIs)."""

import json
from typing import Any

import pytest

from tests.api.caller import Caller, Cast
from tests.world import World
from trapline.api.problems import STATUS
from trapline.ground.ids import new_id


def problem(answer: Any, status: int) -> dict[str, Any]:
    """The problem of an answer, in the form of RFC 9457, section 3."""
    assert answer.status_code == status, answer.content
    assert answer["Content-Type"] == "application/problem+json"
    said: dict[str, Any] = answer.json()
    assert said["status"] == status
    assert set(said) == {"type", "title", "status", "detail", "problems"}
    return said


def test_unknown_and_forbidden_are_the_same_bytes_wherever_they_are_met(
    cast: Cast, world: World, other_world: World
) -> None:
    theirs = other_world.set("S1")
    answers = [
        cast.manager.get("teams/south/sets/"),
        cast.manager.get("teams/nowhere/sets/"),
        cast.manager.get(f"./sets/{theirs}/"),
        cast.manager.get(f"./sets/{new_id()}/"),
        cast.manager.get("./sets/not-an-id/"),
        cast.manager.get("no/such/address"),
        cast.manager.post("./sets", {}),  # without its slash
        cast.student.get("./notices/"),
        cast.student.post("./lines/", {}),
        cast.stranger.get("./sets/"),
        cast.other.post(f"./sets/{theirs}/pull/", {}),
    ]
    assert {problem(one, 404)["detail"] for one in answers} == {
        "There is nothing at this address, or it is not yours to see."
    }
    assert len({one.content for one in answers}) == 1


def test_every_kind_of_problem_can_be_looked_up_at_its_type(cast: Cast) -> None:
    for kind, status in STATUS.items():
        said = Caller(None).get(f"problems/{kind}/").json()
        assert (said["type"], said["status"]) == (f"/api/v1/problems/{kind}/", status)
        assert said["title"]
    assert problem(cast.manager.get("./sets/none/"), 404)["type"] == "/api/v1/problems/not_found/"


@pytest.mark.parametrize(
    ("raw", "status", "code", "where"),
    [
        (b'{"a": 1,\n "b": }', 400, "json_syntax", "Line 2"),
        (b'{"a": "\xff"}', 400, "json_utf8", "byte 7"),
        (b'{"a": NaN}', 400, "json_number", ""),
        (b'{"a": 1e999}', 400, "json_number", ""),
        (b'{"a": ' + b"9" * 5000 + b"}", 400, "json_number", ""),
        (b"[" * 50 + b"]" * 50, 400, "json_too_deep", "40"),
        (b"[" * 100_000, 400, "json_too_deep", "40"),
        (b'{"a": "\\u0000"}', 400, "json_text", ""),
        (b'{"a": "\\ud800"}', 400, "json_text", ""),
        (b"[1]", 400, "json_not_object", ""),
        (b" ", 400, "json_syntax", "Line 1"),
        (b'"' + b"x" * (2 * 1024 * 1024) + b'"', 413, "too_large", "2097152"),
    ],
)
def test_json_that_cannot_be_read_says_where_and_why(
    cast: Cast, raw: bytes, status: int, code: str, where: str
) -> None:
    said = problem(cast.manager.post("./checks/", raw), status)
    (found,) = said["problems"]
    assert found["code"] == code
    assert where in found["detail"]


def test_forms_and_methods_that_there_are_not_say_so(cast: Cast) -> None:
    said = problem(cast.manager.post("./checks/", b"a=1", content_type="text/plain"), 415)
    assert "text/plain" in said["detail"]
    assert "PATCH" in problem(cast.manager("PATCH", "./checks/", {}), 405)["detail"]
    problem(cast.manager("OPTIONS", "./checks/"), 405)
    problem(cast.manager.get("./checks/", Accept="text/html"), 406)
    assert cast.manager.get("./checks/", Accept="application/json").status_code == 200
    assert cast.manager("HEAD", "./checks/").status_code == 200
    problem(cast.nobody("PATCH", "./checks/", {}), 401)


def test_sentences_come_in_the_language_that_was_asked_for(cast: Cast) -> None:
    answer = cast.manager.get("./sets/none/", **{"Accept-Language": "en"})
    assert answer["Content-Language"] == "en"


def test_a_fault_of_ours_is_told_in_the_same_form_and_logged(
    cast: Cast, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_given: Any) -> Any:
        raise ZeroDivisionError("a fault made for this test")

    monkeypatch.setattr("trapline.people.lists.members", broken)
    cast.manager.client.raise_request_exception = False
    said = problem(cast.manager.get("./members/"), 500)
    assert said["type"] == "/api/v1/problems/server/"
    assert "ZeroDivisionError" not in json.dumps(said)
    assert "a fault made for this test" in caplog.text
