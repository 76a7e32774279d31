"""Reports as files, read again by other programs' readers: Python's csv and json."""

import csv
import io
import json
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reports.season import Caught, local, season
from tests.reports.test_harvest import second_licence
from tests.world import World
from trapline.ground.scope import team_scope
from trapline.ground.tables import cell, csv_text
from trapline.reports.files import (
    YIELD_COLUMNS,
    harvest_csv,
    harvest_json,
    yields_csv,
    yields_json,
)
from trapline.reports.harvest import COLUMNS, harvest, tenths_of_hours
from trapline.reports.period import Period
from trapline.reports.yields import yields

ALWAYS = Period()
RUNS = "=+-@\t\r\n"


@pytest.fixture
def caught(world: World) -> Caught:
    return season(world)


def read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def test_the_harvest_file_has_the_catch_with_zone_method_sex_tag_and_date(
    world: World, caught: Caught
) -> None:
    marten, lynx = read("".join(harvest_csv(harvest(world.team, ALWAYS))))
    assert marten == {
        "licence": "T-north",
        "animal": str(caught.marten["animal"]),
        "species": "marten",
        "species_name": "Marten",
        "species_latin": "Martes americana",
        "date": "2026-01-06",
        "at": "2026-01-06T09:00:00-07:00",
        "time_zone": "America/Whitehorse",
        "zone": "A",
        "device_class": "snare",
        "device_kind": "snare",
        "placement": "land",
        "sex": "male",
        "age": "adult",
        "alive_on_arrival": "true",
        "fate": "dispatched",
        "target": "true",
        "site_tag": "N7",
        "device_tag": "QB-1",
        "seal": "",
        "checked_by": "Signe",
        "hours_possibly_held": "22.0",
        "line": "Creek line",
        "set": "S1",
    }
    assert (lynx["species"], lynx["fate"], lynx["site_tag"]) == ("lynx", "released", "")


def test_a_licence_without_an_animal_has_a_row_that_says_nil(world: World, caught: Caught) -> None:
    second_licence(world)
    nil, *animals = read("".join(harvest_csv(harvest(world.team, ALWAYS))))
    assert {name for name, value in nil.items() if value} == {"licence", "species"}
    assert (nil["licence"], nil["species"]) == ("T-2", "nil")
    assert len(animals) == 2


def test_lines_end_in_crlf_and_a_quote_is_doubled_as_rfc_4180_asks() -> None:
    text = "".join(csv_text(("a", "b"), [('say "no"', "x,y"), ("two\nlines", 3)]))
    assert text == 'a,b\r\n"say ""no""","x,y"\r\n"two\nlines",3\r\n'


def test_the_byte_order_mark_stands_first_when_asked_for_and_not_otherwise() -> None:
    assert "".join(csv_text(("a",), [], bom=True)).encode() == b"\xef\xbb\xbfa\r\n"
    assert "".join(csv_text(("a",), [])).encode() == b"a\r\n"


@pytest.mark.parametrize("begins", list(RUNS))
def test_text_that_a_spreadsheet_would_run_is_made_text_again(begins: str) -> None:
    # OWASP, CSV Injection: a cell that begins with = + - @, tab or carriage return (from memory).
    assert cell(f"{begins}HYPERLINK(1)") == f"'{begins}HYPERLINK(1)"
    assert cell(f"HYPER{begins}LINK") == f"HYPER{begins}LINK"


@given(st.text(st.characters(codec="utf-8", exclude_characters="\x00")))
def test_any_text_comes_back_from_the_file_as_it_was_but_for_the_guard(text: str) -> None:
    written = "".join(csv_text(("note", "end"), [(text, "x")]))
    ((note, end),) = list(csv.reader(io.StringIO(written, newline=""), strict=True))[1:]
    assert end == "x"
    assert note == (f"'{text}" if text[:1] and text[0] in RUNS else text)
    assert not note.startswith(tuple("=+-@"))


def test_values_are_written_as_machines_read_them() -> None:
    at = datetime(2026, 1, 6, 9, 0, tzinfo=ZoneInfo("America/Whitehorse"))
    said = [cell(value) for value in (None, True, False, at, date(2026, 1, 6), 1.5, 7)]
    assert said == ["", "true", "false", "2026-01-06T09:00:00-07:00", "2026-01-06", "1.5", "7"]


@pytest.mark.parametrize(
    ("minutes", "hours"), [(0, 0.0), (6, 0.1), (6.01, 0.2), (60, 1.0), (1321, 22.1)]
)
def test_hours_are_in_tenths_and_rounded_up(minutes: float, hours: float) -> None:
    assert tenths_of_hours(timedelta(minutes=minutes)) == hours


def test_the_json_has_each_licence_with_its_animals_and_totals(
    world: World, caught: Caught
) -> None:
    second_licence(world)
    said = json.loads(json.dumps(harvest_json(harvest(world.team, ALWAYS))))
    nil, full = said["licences"]
    assert (nil["licence"], nil["nil"], nil["animals"], nil["totals"]) == ("T-2", True, [], [])
    assert [tuple(one) for one in full["animals"]] == [COLUMNS, COLUMNS]
    assert full["animals"][0]["at"] == "2026-01-06T09:00:00-07:00"
    assert said["totals"] == full["totals"]
    assert {(one["species"], one["taken"]) for one in said["totals"]} == {
        ("lynx", 0),
        ("marten", 1),
    }
    assert said["period"] == {"first": None, "last": None}


def test_the_yield_file_gives_a_row_a_member_and_why_there_is_no_figure(
    world: World, caught: Caught
) -> None:
    with team_scope(world.team):
        rows = yields(world.team, ALWAYS, local(9, 10))
    ivar, maud, signe = read("".join(yields_csv(rows)))
    assert tuple(ivar) == YIELD_COLUMNS
    assert (signe["checks_in_time"], signe["checks_asked"], signe["targets"]) == ("3", "5", "1")
    assert (signe["trap_nights"], signe["hours_possibly_held_most"]) == ("6.33", "36.0")
    assert (signe["per_100_trap_nights"], signe["figure"]) == ("", "too_disturbed")
    assert (ivar["per_100_trap_nights"], ivar["per_100_upper"]) == ("0.0", "4427.0")
    assert maud["figure"] == "no_looks"
    members = json.loads(json.dumps(yields_json(rows, ALWAYS)))["members"]
    assert [one["member"] for one in members] == ["Ivar", "Maud", "Signe"]
