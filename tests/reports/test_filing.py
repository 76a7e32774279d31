"""A report is frozen once, balances with the record, and is amended and not edited."""

import csv
import io
import json
from datetime import date, datetime
from hashlib import sha256
from typing import Any
from uuid import UUID

import openpyxl
import pytest
from pypdf import PdfReader

from tests.reports.season import animal, local, season
from tests.world import World
from trapline.ground.errors import NeedsReview, Refused
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.people.models import Licence
from trapline.record.desk import submit
from trapline.reports.filed import content, form_of, forms_of
from trapline.reports.form import read_form, shipped
from trapline.reports.models import Filing
from trapline.reports.papers.pdf import as_pdf
from trapline.reports.papers.tables import as_csv, as_xlsx
from trapline.reports.period import Period
from trapline.reports.reconcile import Reconciled, reconcile
from trapline.reports.rows import fill_in
from trapline.reports.snapshot import differences, freeze

pytestmark = pytest.mark.django_db
FIRST, LAST = date(2026, 1, 1), date(2026, 1, 31)
AFTER = datetime.fromisoformat("2026-02-02T12:00:00-07:00")


def seen(world: World, form: str = "animal-log") -> str:
    with team_scope(world.team):
        shown = form_of(world.team, form)
        assert shown is not None
        licence = Licence.objects.get(id=world.licence)
        return freeze(world.team, shown.form, licence, FIRST, LAST).sha256


def file(world: World, form: str = "animal-log", **said: Any) -> UUID:
    filing, actor = new_id(), said.pop("by", world.manager)
    body = {
        "filing": filing, "form": form, "licence": world.licence, "first": FIRST, "last": LAST,
        "seen": said.pop("seen", None) or seen(world, form), "signed": "A. Holder",
        "note": "The sets stay out for February.", **said,
    }  # fmt: skip
    submit(actor, "file_report", body, at=AFTER, now=AFTER)
    return filing


def filed(world: World, key: UUID) -> Filing:
    with team_scope(world.team):
        found: Filing = Filing.objects.select_related("amends").get(id=key)
        return found


def balance(world: World, form: str = "animal-log", moment: datetime = AFTER) -> Reconciled:
    with team_scope(world.team):
        shown = form_of(world.team, form)
        assert shown is not None
        licence, period = Licence.objects.get(id=world.licence), Period(FIRST, LAST)
        made = fill_in(world.team, shown.form, licence.id, period, "UTC")
        return reconcile(world.team, shown.form, licence, period, made, moment)


def test_four_forms_are_shipped_and_they_differ() -> None:
    forms = [read_form(text) for text in shipped().values()]
    assert {form.rows for form in forms} == {"animals", "totals", "efforts", "numbers"}
    assert all("invented" in form.about for form in forms)


def test_a_filed_report_is_frozen_with_its_checksum_and_the_versions_of_its_inputs(
    world: World,
) -> None:
    season(world)
    one = filed(world, file(world))
    assert one.sha256 == sha256(bytes(one.snapshot)).hexdigest()
    assert set(one.inputs) == {"form_sha256", "form_number", "rulebook", "changes"}
    said = content(one)
    (row,) = said["rows"]  # the lynx was let go
    assert row["cells"][:5] == [1, "06/01/2026", "Marten", "M", "A"]
    assert said["totals"] == [["Animals: Marten", 1]]


def test_what_happens_later_does_not_change_what_was_filed(world: World) -> None:
    caught = season(world)
    before = bytes(filed(world, key := file(world)).snapshot)
    late = animal(world, sex="female")
    world.check(world.student, caught.snare, local(10, 9), found="animal", catches=[late])
    assert bytes(filed(world, key).snapshot) == before
    assert seen(world) != filed(world, key).sha256


def test_an_amended_report_names_what_reads_otherwise(world: World) -> None:
    caught = season(world)
    first = file(world)
    late = animal(world, sex="female", age="unknown")
    world.check(world.student, caught.snare, local(10, 9), found="animal", catches=[late])
    again = filed(world, file(world, amends=first))
    (change,) = differences(content(filed(world, first)), content(again))
    assert (change.key, change.before) == (str(late["animal"]), None)
    assert change.after is not None and change.after[3:5] == ("F", "?")


def test_a_report_of_the_same_days_is_filed_once_and_then_amended_once(world: World) -> None:
    season(world)
    first = file(world)
    with pytest.raises(NeedsReview) as error:
        file(world)
    assert error.value.problem.code == "report_filed_before"
    second = file(world, amends=first)
    with pytest.raises(NeedsReview):
        file(world, amends=first)
    assert filed(world, second).amends_id == first


def test_a_nil_report_is_a_report(world: World) -> None:
    world.set("S9")
    said = content(filed(world, file(world)))
    assert said["nil"] and said["rows"] == []
    assert as_csv(said).splitlines()[1].startswith("No animal was taken")


def test_a_report_that_changed_under_the_signers_eyes_is_not_filed(world: World) -> None:
    season(world)
    with pytest.raises(NeedsReview) as error:
        file(world, seen="0" * 64)
    assert error.value.problem.code == "report_changed"
    assert nothing_filed(world)


def test_a_report_over_a_period_that_is_still_running_is_refused(world: World) -> None:
    season(world)
    body = {
        "filing": new_id(), "form": "animal-log", "licence": world.licence, "first": FIRST,
        "last": LAST, "seen": seen(world), "signed": "A", "note": "x",
    }  # fmt: skip
    with pytest.raises(NeedsReview) as error:
        submit(world.manager, "file_report", body, at=local(20, 9), now=local(20, 9))
    assert error.value.problem.code == "report_stop_still_running"
    assert nothing_filed(world)


def test_a_season_report_waits_until_every_set_is_out(world: World) -> None:
    caught = season(world)
    with pytest.raises(NeedsReview) as error:
        file(world, "zone-summary")
    assert error.value.problem.code == "report_stop_set_standing"
    for label in (caught.snare, caught.body):
        submit(world.instructor, "pull_set", {"set": label}, at=local(30, 9), now=local(30, 9))
    said = content(filed(world, file(world, "zone-summary")))
    cells = {row["key"]: row["cells"] for row in said["rows"]}
    assert cells["A · Marten"][2:4] == [1, 1]
    assert cells["A · Lynx"][7:9] == [1, 0]


def test_a_catch_on_a_day_without_a_licence_is_refused(world: World) -> None:
    season(world)
    with team_scope(world.team):
        Licence.objects.filter(id=world.licence).update(valid_from=date(2026, 1, 7))
    with pytest.raises(NeedsReview) as error:
        file(world)
    assert error.value.problem.code == "report_stop_outside_licence"
    assert nothing_filed(world)


def test_what_is_left_open_has_to_be_explained(world: World) -> None:
    season(world)
    open_now = {item.code for item in balance(world).to_explain}
    assert "number_left" in open_now and "set_standing" in open_now
    with pytest.raises(NeedsReview) as error:
        file(world, note="  ")
    assert error.value.problem.code == "report_explain"


def test_a_number_is_used_once(world: World) -> None:
    caught = season(world)
    twice = animal(world, site_tag="N7")
    with pytest.raises(NeedsReview) as error:
        world.check(world.student, caught.snare, local(12, 9), found="animal", catches=[twice])
    assert error.value.problem.code == "number_spent"


def test_the_balance_counts_every_animal_of_the_record(world: World) -> None:
    season(world)
    told = balance(world)
    assert (told.animals, told.taken, told.sealed + told.unsealed, told.rows) == (2, 1, 1, 1)


def test_only_the_holder_or_a_manager_files(world: World) -> None:
    season(world)
    with team_scope(world.team):
        holder = Licence.objects.get(id=world.licence).holder_id
    for actor in (world.instructor, world.student):
        if actor.member == holder:
            continue
        with pytest.raises(NeedsReview) as error:
            file(world, by=actor)
        assert error.value.problem.code == "report_not_yours"


@pytest.mark.parametrize(
    ("change", "field", "code"),
    [
        (("value: zone", "value: moon_phase"), "columns.5.value", "report_unknown_column"),
        (("by: species_name", "by: moon_phase"), "totals.0.by", "report_unknown_column"),
        (("count: rows", "count: taken"), "totals.0.count", "report_unknown_column"),
        (("sign: [Licence holder]", "sign: []"), "sign", "shape_too_short"),
        (("rows: animals", "rows: [animals"), "form", "report_form_yaml"),
        (("about:", "abut:"), "abut", "shape_extra_forbidden"),
    ],
)
def test_a_form_that_cannot_be_filled_in_is_refused_whole(
    world: World, change: tuple[str, str], field: str, code: str
) -> None:
    text = shipped()["animal-log"].replace(*change)
    with pytest.raises(Refused) as error:
        submit(world.manager, "take_report_form", {"form": text}, at=AFTER, now=AFTER)
    assert [(one.field, one.code) for one in error.value.problems] == [(field, code)]
    with team_scope(world.team):
        assert all(shown.number == 0 for shown in forms_of(world.team))


def test_a_form_taken_in_anew_is_in_force_and_what_was_filed_keeps_its_own(world: World) -> None:
    season(world)
    old = filed(world, key := file(world))
    text = shipped()["animal-log"].replace("head: Zone", "head: Area")
    submit(world.manager, "take_report_form", {"form": text}, at=AFTER, now=AFTER)
    new = content(filed(world, file(world, amends=key)))
    assert new["form"]["columns"][5]["head"] == "Area"
    assert content(old)["form"]["columns"][5]["head"] == "Zone"
    with pytest.raises(NeedsReview) as error:
        submit(world.instructor, "take_report_form", {"form": text}, at=AFTER, now=AFTER)
    assert error.value.problem.code == "only_managers"


def test_a_value_that_the_form_has_no_code_for_stops_it(world: World) -> None:
    season(world)
    text = shipped()["animal-log"].replace("{male: M, female: F", "{female: F")
    submit(world.manager, "take_report_form", {"form": text}, at=AFTER, now=AFTER)
    with pytest.raises(NeedsReview) as error:
        file(world)
    assert error.value.problem.code == "report_stop_not_coded"
    assert error.value.problem.values["names"] == "Sex: male"


def test_the_seal_register_and_the_effort_survey_count_what_the_record_holds(
    world: World,
) -> None:
    caught = season(world)
    text = shipped()["seal-register"].replace("kind: seal", "kind: site_tag")
    submit(world.manager, "take_report_form", {"form": text}, at=AFTER, now=AFTER)
    register = content(filed(world, file(world, "seal-register")))
    assert [row["cells"] for row in register["rows"]] == [
        ["N7", "used", "2026-01-06", "Marten", "M"]
    ]
    for one in (caught.snare, caught.body):
        submit(world.instructor, "pull_set", {"set": one}, at=local(30, 9), now=local(30, 9))
    survey = content(filed(world, file(world, "effort-survey")))
    snare = next(row["cells"] for row in survey["rows"] if row["cells"][1] == "Snare")
    # 5 Jan 11:00 to 8 Jan 20:00 in three intervals: 81 hours.
    assert snare == ["2026-01", "Snare", 1, 3, 3.38, 0, 1, 1]


def test_the_files_hold_the_same_figures(world: World) -> None:
    season(world)
    one = filed(world, file(world))
    said = content(one)
    heads = [column["head"] for column in said["form"]["columns"]]
    rows = list(csv.reader(io.StringIO(as_csv(said))))
    cells = [str(cell) for cell in said["rows"][0]["cells"]]
    assert rows == [heads, cells]
    book = openpyxl.load_workbook(io.BytesIO(as_xlsx(said, one.sha256)))
    found = [[cell or "" for cell in row] for row in book["Report"].iter_rows(values_only=True)]
    assert found == [heads, [cell or "" for cell in said["rows"][0]["cells"]]]
    about = dict(book["About"].iter_rows(values_only=True))
    assert about["SHA-256"] == one.sha256 and about["Animals: Marten"] == 1
    reader = PdfReader(io.BytesIO(as_pdf(said, one.sha256)))
    text = " ".join(page.extract_text() for page in reader.pages).replace("\n", " ")
    for word in (*cells[1:5], "N7", one.sha256, "Page 1 of 1", "Licence holder", "Animals: Marten"):
        assert word in text


@pytest.mark.parametrize("text", ["=1+1", "+SUM(A1)", "-2", "@cmd", "\tx", '=HYPERLINK("x")'])
def test_no_cell_is_run_as_a_formula(world: World, text: str) -> None:
    season(world)
    said = json.loads(json.dumps(content(filed(world, file(world)))))
    said["rows"][0]["cells"][5] = text
    said["form"]["columns"][5]["head"] = text
    for line in list(csv.reader(io.StringIO(as_csv(said)))):
        assert line[5] == f"'{text}"
    book = openpyxl.load_workbook(io.BytesIO(as_xlsx(said, "0" * 64)))
    for row in book["Report"].iter_rows():
        assert (row[5].data_type, row[5].value) == ("s", text)
        assert row[5].quotePrefix


def test_a_long_register_is_drawn_row_by_row_and_says_the_same(world: World) -> None:
    season(world)
    said = json.loads(json.dumps(content(filed(world, file(world)))))
    (row,) = said["rows"]
    said["rows"] = [
        {"key": str(n), "cells": [n, *row["cells"][1:5], f"Zone-{n:04}", *row["cells"][6:]]}
        for n in range(1, 602)
    ]
    pages: list[int] = []

    def told(page: int) -> bool:
        pages.append(page)
        return True

    reader = PdfReader(io.BytesIO(as_pdf(said, "ab" * 32, progress=told)))
    assert pages == list(range(1, len(reader.pages) + 1))
    text = [page.extract_text() for page in reader.pages]
    assert all(f"Page {n} of {len(text)}" in page for n, page in enumerate(text, 1))
    whole = "\n".join(text)
    assert all(f"Zone-{n:04}" in whole for n in range(1, 602))
    assert "ab" * 32 in whole and "Licence holder" in text[-1]


def nothing_filed(world: World) -> bool:
    with team_scope(world.team):
        return not Filing.objects.exists()
