"""The page and the endpoint of what if: what turns, said in words; nothing is written."""

import json
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.findings.scene import sign_off, take
from tests.plans.test_what_if import draft, season
from tests.world import START, World
from trapline.findings.models import Finding
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act

pytestmark = pytest.mark.django_db
PAGE, API = "/t/north/findings/what-if/", "/api/v1/teams/north/what-if/"


@pytest.fixture
def standing(world: World) -> list[str]:
    sign_off(world, "snare")
    take(world, season("marten"))
    return [
        str(world.set(label, loop_diameter_m=0.1, loop_height_m=0.25, snow_depth_m=0.3))
        for label in ("A", "B")
    ]


def kept(world: World) -> tuple[int, int]:
    with team_scope(world.team):
        return Act.objects.count(), Finding.objects.count()


def test_the_page_says_what_turns_the_least_work_and_who_could_cover(
    world: World, instructor: Client, standing: list[str]
) -> None:
    before = kept(world)
    said = {"snow_m": "30", "away": str(world.student.member)}
    text = instructor.post(PAGE, said).content.decode()
    for words in ("2 sets of 2 turn", "Rehang the loop about 30\u00a0cm higher: measure here",
                  "Hand over", "Ivar could look after what is uncovered: A, B",
                  "Buried, Uncovered", "30\u00a0cm of snow falls. Away: Signe."):  # fmt: skip
        assert words in text
    closed = instructor.post(PAGE, {"closes": "marten"}).content.decode()
    assert "Done before that moment, nothing turns." in closed and "As of" in closed
    assert kept(world) == before


def test_statements_do_not_grow_with_the_sets(
    world: World, instructor: Client, standing: list[str]
) -> None:
    def count() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert instructor.post(PAGE, {"snow_m": "30"}).status_code == 200
        return len([one for one in seen.captured_queries if "SAVEPOINT" not in one["sql"]])

    first = count()
    assert first == 4 + 5 + 3  # guard; form's lists; sets and both worlds
    for number in range(4):
        world.set(f"C{number}", loop_diameter_m=0.1, loop_height_m=0.25, snow_depth_m=0.3)
    assert count() == first


def test_nothing_supposed_and_a_draft_that_cannot_be_read_are_said_and_kept(
    instructor: Client, standing: list[str]
) -> None:
    answer = instructor.post(PAGE, {})
    assert answer.status_code == 422 and "Suppose something" in answer.content.decode()
    answer = instructor.post(PAGE, {"text": "format: 9\ntitle: Mine"})
    text = answer.content.decode()
    assert answer.status_code == 422 and "The draft cannot be read" in text
    assert "format: 9" in text and "<code>format</code>" in text


def test_a_dry_run_leads_to_what_if_with_its_draft(manager: Client, standing: list[str]) -> None:
    tags = draft({"code": "tag", "matter": "tag", "authority": "territory", "form": "required",
                  "params": {}, "source": "invented"})  # fmt: skip
    text = json.dumps(tags.plain())
    dry = manager.post("/t/north/rules/take/", {"text": text}).content.decode()
    assert "What if it came into force?" in dry
    found = manager.post(PAGE, {"text": text}).content.decode()
    assert "No identification tag" in found and "tag: " in found


def ask(client: Client, **body: Any) -> Any:
    return client.post(API, body, content_type="application/json")


def test_the_endpoint_answers_the_same_and_refuses_what_the_team_does_not_know(
    world: World, instructor: Client, standing: list[str]
) -> None:
    before = kept(world)
    answer = ask(instructor, at=START.isoformat(), snow_m=0.3).json()
    assert [row["set"] for row in answer["sets"]] == standing
    assert {(*row["hows"], *row["deeds"]) for row in answer["sets"]} == {("buried", "rehang")}
    assert answer["sets"][0]["amount_m"] == pytest.approx(0.3)
    for body, field, code in (
        ({}, "body", "nothing_supposed"),
        ({"away": [str(new_id())]}, "away.0", "not_in_team"),
        ({"closes": ["dodo"]}, "closes.0", "not_in_team"),
        ({"snow_m": -1}, "snow_m", "shape_greater_than_equal"),
        ({"rain_m": 1}, "rain_m", "shape_extra_forbidden"),
    ):
        refused = ask(instructor, **body)
        assert refused.status_code == 400
        assert [(p["field"], p["code"]) for p in refused.json()["problems"]] == [(field, code)]
    assert kept(world) == before
