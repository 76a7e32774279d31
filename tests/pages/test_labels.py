"""Labels of devices and parts: what is printed, and where one that is scanned leads."""

import re
from uuid import UUID

import pytest
from django.test import Client
from segno import make_qr

from tests.pages.cast import client_of
from tests.record.acting import do
from tests.world import START, World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.pages.codes import QUIET, qr_svg
from trapline.pages.labels import PAPERS

LABELS = "/t/north/gear/labels/"


def drawn(svg: str) -> set[tuple[int, int]]:
    """The dark modules of a drawing: column and row."""
    runs = re.findall(r"M(\d+) (\d+)h(\d+)v1h-(\d+)z", svg)
    assert all(there == back for *_, there, back in runs)
    return {(int(x) + step, int(y)) for x, y, n, _ in runs for step in range(int(n))}


def test_a_code_is_drawn_as_the_library_has_it_with_white_around_it() -> None:
    address = "https://lineward.example/t/north/gear/at/01a1ad2e-0000-7000-8000-000000000000/"
    svg = str(qr_svg(address, "Code of S1"))
    matrix = make_qr(address, error="m").matrix
    dark = {
        (x + QUIET, y + QUIET) for y, row in enumerate(matrix) for x, bit in enumerate(row) if bit
    }
    assert drawn(svg) == dark
    assert f'viewBox="0 0 {len(matrix) + 2 * QUIET} ' in svg
    assert "style=" not in svg


def test_every_device_gets_a_label_that_leads_to_it(world: World, manager: Client) -> None:
    device = world.device("snare", "D1")
    do(world.manager, "keep_device", {"device": world.device("snare", "L1"), "how": "lost"})
    page = manager.get(LABELS).content.decode()
    assert "<strong>D1</strong>snare" in page
    assert "L1</strong>" not in page
    address = f"http://testserver/t/north/gear/at/{device}/"
    assert str(qr_svg(address, "Code of D1")) in page
    assert manager.get(address)["Location"] == f"/t/north/gear/devices/{device}/"


def test_labels_begin_after_those_that_are_used(world: World, manager: Client) -> None:
    for number in range(3):
        world.device("snare", f"D{number}")
    sheets = manager.get(LABELS, {"of": "devices", "paper": "a4-24", "used": "23"}).context[
        "sheets"
    ]
    assert [len(sheet) for sheet in sheets] == [24, 2]
    assert sheets[0][:23] == [None] * 23
    assert (sheets[0][23][0], sheets[1][0][0]) == ("D0", "D1")


def test_parts_are_labelled_by_mark_or_by_the_end_of_their_id(
    world: World, manager: Client
) -> None:
    plain = new_id()
    parts = [{"mark": "W1"}, {"part": plain}]
    do(world.manager, "stock_parts", {"kind": world.part_kinds["swivel"], "parts": parts})
    said = {"paper": "letter-30", "used": "0"}
    marked = manager.get(LABELS, {"of": "marked", **said}).content.decode()
    assert "<strong>W1</strong>Swivel: swivel as bought" in marked
    every = {"of": f"part-{world.part_kinds['swivel']}", **said}
    assert f"… {str(plain)[-6:]}" in manager.get(LABELS, every).content.decode()
    one = manager.get(LABELS, {"of": f"one-{plain}", **said})
    assert one.context["total"] == 1


@pytest.mark.parametrize("wrong", [{"of": "one-x"}, {"of": "devices", "paper": "a5", "used": 0}])
def test_labels_of_nothing_are_told_at_their_field(manager: Client, wrong: dict[str, str]) -> None:
    answer = manager.get(LABELS, wrong)
    assert answer.status_code == 422
    assert 'class="error"' in answer.content.decode()


def test_every_paper_is_laid_out_and_fits_its_sheet() -> None:
    """ISO 216 A4 is 210 by 297 mm; ANSI letter 215.9 by 279.4 mm."""
    from pathlib import Path

    css = (Path(__file__).parents[2] / "static/css/labels.css").read_text()
    sizes = {"a4": (210, 297), "letter": (215.9, 279.4)}
    for name, paper in PAPERS.items():
        rule = re.search(rf"\.labels\.{name} {{(.*?)}}", css, flags=re.S)
        assert rule is not None
        mm = {key: [float(x) for x in re.findall(r"([\d.]+)mm", value)]
              for key, value in re.findall(r"([\w-]+): ([^;]+);", rule[1])}  # fmt: skip
        columns = re.search(r"repeat\((\d+), ([\d.]+)mm\)", rule[1])
        assert columns is not None
        assert int(columns[1]) == paper.columns
        top, side = [*mm.get("padding", [0, 0]), 0][:2]
        top += mm.get("padding-block-start", [0])[0]
        gap = mm.get("column-gap", [0])[0]
        wide = paper.columns * float(columns[2]) + (paper.columns - 1) * gap + 2 * side
        assert wide <= sizes[paper.sheet][0] + 0.05, name
        assert top + paper.rows * mm["grid-auto-rows"][0] <= sizes[paper.sheet][1], name


def met(world: World, who: str, thing: UUID) -> tuple[int, str]:
    answer = client_of(getattr(world, who)).get(f"/t/north/gear/at/{thing}/")
    return answer.status_code, answer.headers.get("Location", "")


def test_a_scan_leads_a_member_to_their_own_set_or_list_and_nowhere_else(world: World) -> None:
    from trapline.gear.models import Device
    from trapline.standing.models import PartStay

    own = world.set("S1")
    world.set("S2", responsible=world.instructor)
    idle = world.device("snare", "D1")
    with team_scope(world.team):
        marks = dict(Device.objects.values_list("mark", "id"))
        cable = PartStay.objects.get(
            device_id=marks["S1-device"], part__kind_id=world.part_kinds["cable"]
        ).part_id
    assert met(world, "student", marks["S1-device"]) == (302, f"/t/north/sets/{own}/")
    assert met(world, "student", cable) == (302, f"/t/north/sets/{own}/")
    for unseen in (marks["S2-device"], idle, new_id()):
        assert met(world, "student", unseen) == (404, "")
    pick = new_id()
    do(world.manager, "pick_gear", {
        "pick": pick, "name": "Creek", "carrier": world.student.member, "devices": [idle],
        "wanted": [{"kind": world.kinds["snare"], "devices": 1}],
    }, at=START)  # fmt: skip
    assert met(world, "student", idle) == (302, f"/t/north/gear/picks/{pick}/")
    assert met(world, "manager", cable) == (302, f"/t/north/gear/parts/{cable}/")
