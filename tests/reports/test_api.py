"""The reports through the API."""

import csv
import io

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.api.caller import Caller, caller_of
from tests.reports.season import Caught, season
from tests.world import World
from trapline.api.reports import HarvestSaid, YieldsSaid
from trapline.ground.ids import new_id


@pytest.fixture
def caught(world: World) -> Caught:
    return season(world)


@pytest.fixture
def manager(world: World, caught: Caught) -> Caller:
    return caller_of(world.manager)


@pytest.fixture
def student(world: World, caught: Caught) -> Caller:
    return caller_of(world.student)


def test_the_harvest_says_what_its_schema_says(manager: Caller) -> None:
    answer = manager.get("./reports/harvest/")
    assert answer["Content-Type"] == "application/json"
    said = HarvestSaid.model_validate_json(answer.content)
    assert [one.species for one in said.licences[0].animals] == ["marten", "lynx"]
    assert said.model_dump(mode="json") == answer.json()


def test_the_yield_table_says_what_its_schema_says(manager: Caller) -> None:
    answer = manager.get("./reports/yields/")
    said = YieldsSaid.model_validate_json(answer.content)
    assert [one.member for one in said.members] == ["Ivar", "Maud", "Signe"]
    assert said.model_dump(mode="json") == answer.json()


@pytest.mark.parametrize("how", ["parameter", "header"])
def test_csv_is_given_to_who_asks_for_it(manager: Caller, how: str) -> None:
    asked = {"parameter": ("?format=csv", {}), "header": ("", {"Accept": "text/csv"})}
    query, headers = asked[how]
    answer = manager.get(f"./reports/harvest/{query}", **headers)
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    rows = list(csv.DictReader(io.StringIO(answer.content.decode(), newline="")))
    assert [row["site_tag"] for row in rows] == ["N7", ""]


def test_the_period_narrows_it(manager: Caller) -> None:
    said = manager.get("./reports/harvest/?first=2026-01-07&last=2026-01-08").json()
    assert [one["species"] for one in said["totals"]] == ["lynx"]


def test_a_member_gets_their_own(student: Caller, world: World) -> None:
    assert [one["member"] for one in student.get("./reports/yields/").json()["members"]] == [
        "Signe"
    ]
    assert student.get("./reports/harvest/").json()["licences"] == []
    assert student.get(f"./reports/harvest/?licence={world.licence}").status_code == 404
    assert student.get(f"./reports/harvest/?licence={new_id()}").status_code == 404


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("first=2026-02-30", "first"),
        ("first=2026-01-09&last=2026-01-08", "last"),
        ("licence=N7", "licence"),
        ("species=marten", "species"),
        ("last=0001-01-01", "last"),
    ],
)
@pytest.mark.parametrize("form", ["json", "csv"])
def test_what_cannot_be_read_is_refused_with_its_field(
    manager: Caller, query: str, field: str, form: str
) -> None:
    answer = manager.get(f"./reports/harvest/?format={form}&{query}")
    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"
    assert [one["field"] for one in answer.json()["problems"]] == [field]


@pytest.mark.parametrize(("noun", "own"), [("harvest", 1), ("yields", 6)])
def test_a_report_takes_a_constant_number_of_statements(
    manager: Caller, noun: str, own: int
) -> None:
    with CaptureQueriesContext(connection) as seen:
        manager.get(f"./reports/{noun}/")
    # token with its person, membership; then the report's own
    assert len(seen) == 2 + own
