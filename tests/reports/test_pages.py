"""The report pages and files, as each role gets them."""

import csv
import io

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.pages.cast import client_of
from tests.reports.season import Caught, season
from tests.reports.test_harvest import second_licence
from tests.world import World

pytestmark = pytest.mark.django_db
BASE = "/t/north/reports/"


@pytest.fixture
def caught(world: World) -> Caught:
    return season(world)


def text(client: Client, path: str = "", status: int = 200) -> str:
    answer = client.get(BASE + path)
    assert answer.status_code == status
    return str(answer.content.decode())


def rows(said: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(said, newline="")))


def test_a_leader_reads_the_harvest_and_takes_it_away_as_a_file(
    world: World, caught: Caught
) -> None:
    client = client_of(world.manager)
    page = text(client)
    assert "Martes americana" in page and "N7" in page and "T-north" in page
    answer = client.get(BASE + "harvest.csv")
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert answer["Content-Disposition"] == 'attachment; filename="harvest-north.csv"'
    assert [row["species"] for row in rows(answer.content.decode())] == ["marten", "lynx"]


def test_a_member_gets_the_harvest_of_licences_they_hold_and_no_other(
    world: World, caught: Caught
) -> None:
    client = client_of(world.student)
    assert "none valid in these days is in your name" in text(client)
    second_licence(world)
    assert "Nil report" in text(client)
    assert [row["licence"] for row in rows(text(client, "harvest.csv"))] == ["T-2"]
    text(client, f"?licence={world.licence}", 404)


def test_a_member_sees_their_own_row_and_leaders_all(world: World, caught: Caught) -> None:
    assert [row["member"] for row in rows(text(client_of(world.student), "yields.csv"))] == [
        "Signe"
    ]
    for leader in (world.manager, world.instructor):
        said = rows(text(client_of(leader), "yields.csv"))
        assert [row["member"] for row in said] == ["Ivar", "Maud", "Signe"]
    assert "Ivar" not in text(client_of(world.student), "yields/")


def test_the_table_names_checks_in_time_before_any_catch(world: World, caught: Caught) -> None:
    page = text(client_of(world.manager), "yields/")
    order = [
        page.index(head)
        for head in ("Checks in time", "Hours possibly", "Non-target", "Target per")
    ]
    assert order == sorted(order)
    assert "no figure: check oftener or set more" in page


@pytest.mark.parametrize("path", ["", "yields/", "harvest.csv", "yields.json"])
def test_a_period_that_runs_backwards_is_shown_again_with_the_reason(
    world: World, caught: Caught, path: str
) -> None:
    page = text(client_of(world.manager), f"{path}?first=2026-01-09&last=2026-01-01", 422)
    assert "The last day lies before the first" in page
    assert 'value="2026-01-09"' in page


@pytest.mark.parametrize("path", ["", "yields/", "harvest.json"])
def test_a_day_that_is_none_is_shown_again_at_its_field(
    world: World, caught: Caught, path: str
) -> None:
    page = text(client_of(world.manager), f"{path}?first=2026-02-30", 422)
    assert "id_first_error" in page


def test_the_days_asked_for_stand_in_the_files_name(world: World, caught: Caught) -> None:
    answer = client_of(world.manager).get(BASE + "harvest.json?first=2026-01-07&last=2026-01-08")
    assert 'filename="harvest-north-2026-01-07-2026-01-08.json"' in answer["Content-Disposition"]
    assert answer.json()["totals"][0]["species"] == "lynx"


def test_the_file_for_a_spreadsheet_begins_with_the_mark(world: World, caught: Caught) -> None:
    client = client_of(world.manager)
    assert client.get(BASE + "harvest.csv?mark=1").content[:3] == b"\xef\xbb\xbf"
    assert client.get(BASE + "harvest.csv").content[:3] == b"lic"


@pytest.mark.parametrize(("path", "own"), [("", 2), ("yields/", 3)])
def test_a_report_page_takes_a_constant_number_of_statements(
    world: World, caught: Caught, path: str, own: int
) -> None:
    client = client_of(world.manager)
    text(client, path)
    with CaptureQueriesContext(connection) as seen:
        text(client, path)
    # session, person, membership, team; then the report's own
    assert len(seen) == 4 + own, [q["sql"][:80] for q in seen]
