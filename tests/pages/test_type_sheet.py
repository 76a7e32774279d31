"""A sheet is printed with codes, and typed in: each row an act, kept or not by itself."""

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from io import BytesIO
from typing import Any

import pytest
from django.test import Client
from PIL import Image
from pypdf import PdfReader
from zxingcpp import read_barcodes

from tests.pages.cast import client_of
from tests.pages.conftest import Clock
from tests.pages.reading import filled
from tests.world import START, World
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.lines.models import Check
from trapline.reports.papers import pdf

pytestmark = pytest.mark.django_db
EVENING = START + timedelta(hours=8)  # 19:00 on 5 January in the line's zone


def address(world: World) -> str:
    return f"/t/north/lines/{world.line}/sheet/type/"


def row(set_id: Any, **typed: str) -> dict[str, str]:
    """What was typed in a set's row."""
    return {f"row-{set_id}-{name}": value for name, value in typed.items()}


def checks(world: World) -> list[tuple[str, str, str, datetime]]:
    with team_scope(world.team):
        found = Check.objects.order_by("at").values_list("set__label", "found", "reason", "at")
        return list(found)


def test_a_sheet_typed_in_is_a_check_for_each_row_at_its_time_on_the_lines_clock(
    world: World, student: Client, at: Clock
) -> None:
    one, other, left_out = world.set("A-1"), world.set("A-2"), world.set("A-3")
    at(EVENING)
    typed = {
        "day": "2026-01-05",
        **row(one, time="14:05", found="in_order", done="left"),
        **row(other, time="15:40", found="not_reached", note="Thin ice."),
        **row(left_out, time="16:00"),
    }
    answer = student.post(address(world), filled(student.get(address(world)), "day", **typed))
    assert answer.status_code == 302
    assert checks(world) == [
        ("A-1", "in_order", "", datetime(2026, 1, 5, 21, 5, tzinfo=UTC)),
        ("A-2", "not_reached", "Thin ice.", datetime(2026, 1, 5, 22, 40, tzinfo=UTC)),
    ]


def test_a_row_that_is_refused_stays_and_the_others_are_kept_once(
    world: World, student: Client, at: Clock
) -> None:
    good, early = world.set("A-1"), world.set("A-2")
    at(EVENING)
    typed = filled(
        student.get(address(world)), "day", day="2026-01-05",
        **row(good, time="14:05", found="in_order", done="left"),
        **row(early, time="09:00", found="in_order", done="left"),
    )  # fmt: skip
    answer = student.post(address(world), typed)
    page = answer.content.decode()
    assert (answer.status_code, "1 check is kept." in page) == (422, True)
    assert f"row-{early}-found" in page
    assert f"row-{good}-found" not in page
    # The browser sends everything again: what was kept is known by its act.
    student.post(address(world), typed | row(early, time="15:00"))
    assert [label for label, *_ in checks(world)] == ["A-1", "A-2"]


def test_what_was_refused_can_be_left_to_an_instructor(
    world: World, student: Client, at: Clock
) -> None:
    early = world.set("A-1")
    at(EVENING)
    typed = filled(
        student.get(address(world)), "day", day="2026-01-05", for_review="1",
        **row(early, time="09:00", found="in_order", done="left"),
    )  # fmt: skip
    assert student.post(address(world), typed).status_code == 302
    with team_scope(world.team):
        assert Act.objects.filter(kind="log_check", state="needs_review").count() == 1
    assert checks(world) == []


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"found": "gone", "time": "14:00"}, "Say how it is gone."),
        ({"found": "not_reached", "time": "14:00"}, "Say why it was not reached."),
        ({"found": "in_order", "how": "weather", "time": "14:00"}, "goes with “sprung” or “gone”"),
        ({"found": "gone", "how": "weather", "time": "14:00"}, "Say how it is gone."),
        ({"found": "in_order"}, "This is needed."),
        ({"found": "in_order", "time": "late"}, "Give date and time"),
        ({"done": "left", "time": "14:00"}, "This is needed."),
    ],
)
def test_a_row_says_what_it_misses(
    world: World, student: Client, at: Clock, typed: dict[str, str], told: str
) -> None:
    one = world.set("A-1")
    at(EVENING)
    sent = filled(student.get(address(world)), "day", day="2026-01-05", **row(one, **typed))
    answer = student.post(address(world), sent)
    assert (answer.status_code, told in answer.content.decode()) == (422, True)
    assert checks(world) == []


@pytest.mark.parametrize("day", ["", "yesterday"])
def test_without_a_day_nothing_is_kept(world: World, student: Client, at: Clock, day: str) -> None:
    one = world.set("A-1")
    at(EVENING)
    sent = filled(
        student.get(address(world)), "day", day=day, **row(one, time="14:00", found="in_order")
    )
    assert student.post(address(world), sent).status_code == 422
    assert checks(world) == []


def test_a_member_finds_only_their_own_sets_in_it(world: World, student: Client) -> None:
    own, others = world.set("A-1"), world.set("A-2", responsible=world.instructor)
    page = student.get(address(world)).content.decode()
    assert (f"row-{own}-found" in page, f"row-{others}-found" in page) == (True, False)
    sent = filled(student.get(address(world)), "day", **row(others, time="14:00", found="in_order"))
    assert student.post(address(world), sent).status_code == 422
    assert checks(world) == []


def test_the_printed_sheet_has_a_code_for_each_set_that_reads_as_its_address(
    world: World, at: Clock
) -> None:
    """Read by ZXing, a reader of ISO/IEC 18004 that has nothing to do with what drew it."""
    one = world.set("A-1")
    page = client_of(world.manager).get(f"/t/north/lines/{world.line}/sheet/").content.decode()
    (drawn,) = re.findall(r'<svg class="qr".*?</svg>', page, re.S)
    assert 'aria-label="Code of A-1"' in drawn
    (read,) = read_barcodes(picture(drawn))
    assert (str(read.format), read.text) == ("QR Code", f"http://testserver/t/north/sets/{one}/")


def test_the_sheet_as_pdf_has_every_set_with_the_code_of_the_page(
    world: World, at: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Text as pypdf reads it; the codes are those of the page, which ZXing has read above."""
    asked: list[dict[str, Any]] = []
    made = pdf._made

    def listening(said: dict[str, Any], told: Callable[[int], bool]) -> bytes:
        asked.append(said)
        return made(said, told)

    monkeypatch.setattr(pdf, "_made", listening)
    for number in (1, 2):
        world.set(f"A-{number}")
    browser, sheet = client_of(world.student), f"/t/north/lines/{world.line}/sheet"
    answer = browser.get(f"{sheet}.pdf")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    (paper,) = PdfReader(BytesIO(answer.content)).pages
    said = " ".join(paper.extract_text().split())
    for told in (
        "A-1",
        "A-2",
        "Creek line",
        "61.90000",
        "before Tue 6 Jan 11:00 MST",
        "Page 1 of 1",
    ):
        assert told in said
    drawn = re.findall(r'<path d="([^"]+)" class="qr-ink"', asked[0]["html"])
    page = browser.get(f"{sheet}/").content.decode()
    assert drawn == re.findall(r'<path d="([^"]+)" class="qr-ink"', page) and len(set(drawn)) == 2


def picture(drawn: str) -> Image.Image:
    """The SVG as a picture: its quiet zone and its dark modules, four pixels each."""
    side = int(re.search(r'viewBox="0 0 (\d+)', drawn)[1])  # type: ignore[index]
    made = Image.new("L", (side, side), 255)
    for x, y, run in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", drawn):
        made.paste(0, (int(x), int(y), int(x) + int(run), int(y) + 1))
    return made.resize((side * 4, side * 4), Image.Resampling.NEAREST)
