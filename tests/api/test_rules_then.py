"""The rulebook's format, what an officer said, and the rules of a date, through the API."""

from typing import Any

import pytest
from django.test import Client
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

from tests.pages.cast import client_of
from tests.record.test_by_officer import authority, pulls
from tests.world import RULEBOOK, START, World

pytestmark = pytest.mark.django_db
HERE = "/api/v1/teams/north/"


def post(client: Client, address: str, body: dict[str, Any], status: int = 201) -> Any:
    answer = client.post(HERE + address, body, content_type="application/json")
    assert answer.status_code == status, answer.content
    return answer.json()


def test_the_format_is_published_as_a_json_schema_that_takes_a_rulebook() -> None:
    answer = Client().get("/api/v1/rulebook-format/")
    assert answer["Content-Type"] == "application/schema+json"
    Draft202012Validator.check_schema(answer.json())
    Draft202012Validator(answer.json()).validate(RULEBOOK)


def test_an_extension_and_a_closure_are_written_listed_and_ended(world: World) -> None:
    made, boss = world.set("S1"), client_of(world.manager)
    by = {"authority": str(authority(world))}
    said = {"sets": [str(made)], "officer": "Ek", "number": "1", "until": "2099-01-01T00:00:00Z"}
    refused = boss.post(HERE + "extensions/", said | by, content_type="application/json")
    assert refused.json()["problems"][0]["code"] == "grant_until_when"
    at = {"act": "01a214ca-f941-73d7-a106-5313cdd85e77", "at": "2026-01-05T18:30:00Z"}
    post(boss, "extensions/", said | by | at | {"until": "2026-01-07T00:00:00Z"})
    (row,) = boss.get(f"{HERE}extensions/?set={made}").json()["results"]
    assert (row["officer"], row["number"], row["until"]) == ("Ek", "1", "2026-01-07T00:00:00Z")
    said = {"species": str(world.species["marten"]), "reference": "4"}
    at |= {"act": "01a214ca-f941-73d7-a106-5313cdd85e78"}
    closed = post(boss, "closures/", said | by | at | {"from_at": "2026-01-06T18:00:00Z"})
    assert list(pulls(world)) == ["S1"]
    end = {"from_at": "2026-01-08T00:00:00Z", "reference": "5"}
    at |= {"act": "01a214ca-f941-73d7-a106-5313cdd85e79"}
    post(boss, f"closures/{closed['id']}/reopen/", end | at)
    (row,) = boss.get(f"{HERE}closures/").json()["results"]
    assert row["opened_at"] == "2026-01-08T00:00:00Z"
    assert pulls(world) == {}


def test_the_rules_that_bound_a_set_are_answered_for_any_moment(world: World) -> None:
    made, student = world.set("S1"), client_of(world.student)
    address = f"{HERE}sets/{made}/rules/"
    found = student.get(address, {"at": START.isoformat()}).json()
    assert {one["rule"]["code"]: one["standing"] for one in found["rules"]} == {
        "holding-each-day": "binds", "killing-third-day": "apart", "team-two-days": "later",
    }  # fmt: skip
    assert found["stood"]["placement"] == "land"
    before = student.get(address, {"at": "2025-12-03T12:00:00Z"}).json()
    assert (before["stood"], before["rules"]) == (None, [])
    assert before["version"] is not None
    for wrong in ("yesterday", "2025-12-03T12:00:00", "0001-01-01T00:00:00Z"):
        assert student.get(address, {"at": wrong}).status_code == 400
