"""Filing by pages: look it through, sign, its files, how far its PDF is; what is refused."""

import csv
import io
from datetime import date
from typing import Any

import openpyxl
import pytest
from django.test import Client

from tests.pages.cast import client_of
from tests.pages.reading import filled, words
from tests.reports.season import animal, local, season
from tests.reports.test_filing import AFTER, FIRST, LAST, nothing_filed, seen
from tests.world import World
from trapline.ground import clock
from trapline.ground.errors import NeedsReview, Problem, Refused
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.ground.words import sentence
from trapline.lines.models import Catch, Check
from trapline.people.models import Licence
from trapline.record.desk import submit
from trapline.reports.filed import forms_of
from trapline.reports.form import shipped
from trapline.reports.models import Filing, Run, RunState

pytestmark = pytest.mark.django_db
FILE = "/t/north/reports/file/"


@pytest.fixture(autouse=True)
def _later(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "now", lambda: AFTER)
    for room in ("filing", "filings"):
        monkeypatch.setattr(f"trapline.pages.{room}.now", lambda: AFTER)


def chosen(world: World, form: str = "animal-log") -> dict[str, Any]:
    return {"form": form, "licence": world.licence, "first": FIRST, "last": LAST}


def signed(world: World, **said: Any) -> dict[str, Any]:
    return {
        **chosen(world), "act": new_id(), "seen": seen(world, said.get("form", "animal-log")),
        "signed": "A. Holder", "note": "The sets stay out for February.", **said,
    }  # fmt: skip


def filed_by(browser: Client, world: World) -> str:
    answer = browser.post(FILE, signed(world))
    assert answer.status_code == 302
    return str(answer["Location"])


def test_a_report_is_looked_through_signed_and_given_in_files_that_say_the_same(
    world: World,
) -> None:
    season(world)
    browser = client_of(world.manager)
    told = words(browser.get(FILE, chosen(world)))
    assert "Animals in the record 2" in told and "1 = 0 with a seal + 1 without" in told
    assert "To explain" in told and "Rows of this report 1" in told
    at = filed_by(browser, world)
    files = {kind: browser.get(f"{at}report.{kind}") for kind in ("csv", "xlsx", "json")}
    assert {one.status_code for one in files.values()} == {200}
    head, row = csv.reader(io.StringIO(files["csv"].content.decode()))
    book = openpyxl.load_workbook(io.BytesIO(files["xlsx"].content))["Report"]
    cells = [[str(one or "") for one in line] for line in book.iter_rows(values_only=True)]
    assert cells == [head, row]
    said = files["json"].json()
    assert [str(one or "") for one in said["report"]["rows"][0]["cells"]] == row
    # Its PDF is not there before a worker has made it.
    assert browser.get(f"{at}report.pdf").status_code == 404


def test_the_page_says_how_far_a_long_file_is_and_it_can_be_cancelled(world: World) -> None:
    season(world)
    browser = client_of(world.manager)
    at = filed_by(browser, world)
    assert browser.post(at).status_code == 302
    waiting = browser.get(at)
    assert "Waits for a worker" in words(waiting) and waiting["Refresh"] == "2"
    with team_scope(world.team):
        Run.objects.update(state=RunState.RUNNING, pages_done=7, taken_at=AFTER, attempts=1)
    assert "Being made · page 7" in words(browser.get(at))
    assert browser.post(at, {"cancel": "1"}).status_code == 302
    stopped = browser.get(at)
    assert "Cancelled" in words(stopped) and "Refresh" not in stopped
    with team_scope(world.team):
        Run.objects.update(state=RunState.DONE, file=b"%PDF-1.7 kept")
    assert browser.get(f"{at}report.pdf").content == b"%PDF-1.7 kept"


def test_a_report_over_an_open_season_is_refused_on_its_page_and_what_was_typed_stays(
    world: World,
) -> None:
    season(world)
    browser = client_of(world.manager)
    assert "It cannot be filed yet" in words(browser.get(FILE, chosen(world, "zone-summary")))
    answer = browser.post(FILE, signed(world, form="zone-summary"))
    assert answer.status_code == 422 and nothing_filed(world)
    assert 'value="A. Holder"' in answer.content.decode() and "S1" in words(answer)


def test_a_forms_columns_are_mapped_on_a_page(world: World) -> None:
    browser = client_of(world.manager)
    page = browser.get("/t/north/reports/forms/animal-log/")
    body = filled(page, "title")
    at = next(name for name, value in body.items() if value == ["zone"]).removeprefix("value-")
    body[f"head-{at}"] = "Area"
    assert browser.post("/t/north/reports/forms/animal-log/", body).status_code == 302
    with team_scope(world.team):
        (form,) = (one for one in forms_of(world.team) if one.form.code == "animal-log")
    assert form.number == 1 and "Area" in [column.head for column in form.form.columns]


def is_a_sentence(problem: Problem) -> None:
    said = str(sentence(problem))
    assert said.endswith(".") and "%(" not in said and len(said.split()) > 3, said


def test_each_bad_input_is_refused_in_a_sentence_and_nothing_is_half_filed(world: World) -> None:
    caught = season(world)
    with team_scope(world.team):
        before = (Check.objects.count(), Catch.objects.count())
    # A number used twice
    twice = animal(world, site_tag="N7")
    with pytest.raises(NeedsReview) as wrong:
        world.check(world.student, caught.snare, local(12, 9), found="animal", catches=[twice])
    is_a_sentence(wrong.value.problem)
    with team_scope(world.team):
        assert (Check.objects.count(), Catch.objects.count()) == before
    # A report over an open season
    body = {**signed(world, form="zone-summary"), "filing": new_id()}
    del body["act"]
    with pytest.raises(NeedsReview) as wrong:
        submit(world.manager, "file_report", body, at=AFTER, now=AFTER)
    is_a_sentence(wrong.value.problem)
    # A catch on a day without a licence
    with team_scope(world.team):
        Licence.objects.filter(id=world.licence).update(valid_from=date(2026, 1, 7))
    body = {**signed(world), "filing": new_id()}
    del body["act"]
    with pytest.raises(NeedsReview) as wrong:
        submit(world.manager, "file_report", body, at=AFTER, now=AFTER)
    is_a_sentence(wrong.value.problem)
    # A form with an unknown column
    text = shipped()["animal-log"].replace("value: zone", "value: moon_phase")
    with pytest.raises(Refused) as refused:
        submit(world.manager, "take_report_form", {"form": text}, at=AFTER, now=AFTER)
    for problem in refused.value.problems:
        is_a_sentence(problem)
        assert "moon_phase" in str(sentence(problem))
    assert nothing_filed(world)
    with team_scope(world.team):
        assert not Filing.objects.exists()
        assert all(one.number == 0 for one in forms_of(world.team))
