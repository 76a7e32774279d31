"""Gear as a file, on its page and by the API: what would come in, then that, whole."""

import re
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from tests.pages.cast import client_of
from tests.pages.conftest import Clock
from tests.world import World
from trapline.gear.formats.columns import COLUMNS, TAKES
from trapline.gear.models import Device, PartKind
from trapline.ground.scope import team_scope
from trapline.pages.gear_file import MEANS

PAGE = "/t/north/gear/file/"
DOCUMENT = Path(__file__).parents[2] / "docs" / "gear-file.md"


def upload(text: str, name: str = "gear.csv") -> dict[str, SimpleUploadedFile]:
    return {"file": SimpleUploadedFile(name, text.encode(), "text/csv")}


def documented() -> str:
    """The table in the document."""
    found = re.search(r"```csv\n(.*?)```", DOCUMENT.read_text(), flags=re.S)
    assert found is not None
    return found[1]


def test_the_example_comes_in_after_its_dry_run(manager: Client, world: World) -> None:
    text = manager.get(f"{PAGE}example.csv").content.decode()
    shown = manager.post(PAGE, upload(text))
    assert "7 new, 0 changed, 0 as they are." in shown.content.decode()
    with team_scope(world.team):
        assert not Device.objects.exists()
    acts = shown.context["acts"]
    for _twice in range(2):
        assert manager.post(f"{PAGE}take/", {"acts": acts}).status_code == 302
    with team_scope(world.team):
        assert Device.objects.get().mark == "SN-01"
    again = manager.post(PAGE, upload(manager.get(f"{PAGE}gear.csv").content.decode()))
    assert "Everything in the file is as the team has it" in again.content.decode()


def test_the_table_in_the_document_comes_in(manager: Client, world: World) -> None:
    shown = manager.post(PAGE, {"text": documented()})
    assert shown.context["new"] == 7
    assert shown.context["acts"]


def test_a_broken_row_is_shown_with_its_line_column_and_reason(
    manager: Client, world: World
) -> None:
    text = "what,name,role,price\npart_kind,Good,stake,1\npart_kind,Bad,stake,-1\n"
    shown = manager.post(PAGE, upload(text))
    page = shown.content.decode()
    assert "price: This is too small." in page
    assert "1 row is refused, so nothing of the file can come in." in page
    assert shown.context["acts"] == ""
    assert "part_kind,Bad" in page  # to be mended there


@pytest.mark.parametrize("sent", [{}, {"text": "a,b\n1,2\n"}, upload("x", "gear.xlsx")])
def test_what_is_no_table_of_gear_is_told_at_the_file(
    manager: Client, sent: dict[str, str]
) -> None:
    answer = manager.post(PAGE, sent)
    assert answer.status_code == 422
    assert 'class="error"' in answer.content.decode()


def test_the_api_shows_and_takes_in_the_same(world: World, at: Clock) -> None:
    browser, api = client_of(world.manager), "/api/v1/teams/north/"
    text = "what,name,price\npart_kind,lock as bought,0.60\n"
    shown = browser.post(f"{api}gear/dry-run/", upload(text)).json()
    assert shown["rows"][0]["changes"] == [{"column": "price", "was": "", "will_be": "0.60"}]
    said = {"at": shown["at"], "acts": shown["acts"]}
    answer = browser.post(f"{api}gear/import/", said, content_type="application/json")
    assert (answer.status_code, answer.json()) == (200, {"acts": 1})
    with team_scope(world.team):
        assert str(PartKind.objects.get(role="lock").price) == "0.60"
    out = browser.get(f"{api}exports/gear.csv")
    assert out.content.decode("utf-8-sig").startswith("what,id,name")


def test_every_column_stands_in_the_document_and_on_the_page_with_what_takes_it() -> None:
    rows = [line.split("|")[1:-1] for line in DOCUMENT.read_text().splitlines()
            if line.startswith("| `")]  # fmt: skip
    said = {
        row[0].strip(" `"): {what for what, mark in zip(TAKES, row[1:5], strict=True)
                             if mark.strip()}
        for row in rows
    }  # fmt: skip
    for name in COLUMNS[2:]:
        assert said[name] == {what for what, takes in TAKES.items() if name in takes}, name
    assert set(said) == set(COLUMNS) == set(MEANS)
