"""How pages look and can be used: no rule of axe broken in any light, nothing wider than a phone,

targets that a glove hits, no complaint in the console under the strict policy.
"""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

import pytest
from axe_playwright_python.base import AXE_SCRIPT

from tests.browser.conftest import DESK, PHONE
from tests.pages.cast import client_of
from tests.world import World
from trapline.ground import clock
from trapline.ground.ids import new_id
from trapline.people.models import Person
from trapline.record.desk import submit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PAGES = (
    "/t/north/",
    "/t/north/map/",
    "/t/north/lines/",
    "/t/north/lines/{line}/",
    "/t/north/lines/{line}/sheet/",
    "/t/north/lines/{line}/sheet/type/",
    "/t/north/lines/new/",
    "/t/north/sets/new/",
    "/t/north/sets/{set}/",
    "/t/north/sets/{set}/check/",
    "/t/north/sets/{set}/waiting/",
    "/t/north/findings/",
    "/t/north/findings/fit/",
    "/t/north/findings/fit/row/",
    "/t/north/findings/what-if/",
    "/t/north/gear/",
    "/t/north/gear/kinds/{kind}/",
    "/t/north/gear/load/",
    "/t/north/gear/season/",
    "/t/north/gear/stock/",
    "/t/north/gear/picks/new/?take={kind}:1:1",
    "/t/north/gear/file/",
    "/t/north/gear/labels/",
    "/t/north/gear/part-kinds/{part_kind}/",
    "/t/north/gear/devices/{device}/",
    "/t/north/cautions/",
    "/t/north/land/",
    "/t/north/land/permissions/new/",
    "/t/north/land/features/new/",
    "/t/north/land/features/import/",
    "/t/north/rules/",
    "/t/north/rules/take/",
    "/t/north/rules/zones/",
    "/t/north/rules/new/",
    "/t/north/rules/new/check/every_days/",
    "/t/north/rules/change/team-two-days/",
    "/t/north/rules/close/",
    "/t/north/sets/{set}/rules/",
    "/t/north/lines/{line}/extension/",
    "/t/north/members/",
    "/t/north/members/new/",
    "/t/north/notices/",
    "/t/north/notices/stages/",
    "/t/north/lines/{line}/reading/",
    "/t/north/lines/{line}/import/",
    "/t/north/reports/",
    "/t/north/reports/yields/",
    "/t/north/reports/figures/",
    "/t/north/reports/filed/",
    "/t/north/animals/",
    "/t/north/animals/fur/",
    "/t/north/animals/samples/",
    "/t/north/animals/food/",
    "/t/north/review/",
    "/t/north/more/",
    "/settings/",
)
# Those whose parts stand otherwise on a wide screen; all of them in the long form.
WIDE = (
    "/t/north/",
    "/t/north/map/",
    "/t/north/lines/{line}/",
    "/t/north/sets/{set}/",
    "/t/north/findings/what-if/",
    "/t/north/gear/",
    "/t/north/rules/",
    "/t/north/reports/yields/",
)
# WCAG 2.2 A and AA, as axe tags its rules.
OPEN_ALL = "document.querySelectorAll('details').forEach(one => { one.open = true })"
CRAMPED = """() => [...document.querySelectorAll('.row > .what')]
  .filter(one => one.offsetParent && one.getBoundingClientRect().width < 96)
  .map(one => one.textContent.trim().slice(0, 40))"""
# Every word has one of a few colours (tests/pages/test_contrast.py): judged on some pages only.
COLOURS = ["color-contrast"]
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def furnish(world: World) -> dict[str, str]:
    """A set with a catch, one overdue, an animal waiting: every part of a page has something."""
    now = clock.now()
    days = timedelta(days=1)
    first = world.set("A-1", at=now - 3 * days)
    world.check(
        world.student,
        first,
        now - timedelta(hours=2),
        found="animal",
        done=["remade"],
        note="Cable kinked.",
        catches=[
            {
                "animal": new_id(),
                "species": world.species["marten"],
                "alive_on_arrival": False,
                "fate": "found_dead",
            }
        ],
    )
    world.set("A-2", "body", at=now - 2.5 * days, responsible=world.instructor)
    waiting = {"waiting": new_id(), "set": world.set("A-3", at=now - 0.5 * days)}
    submit(world.student, "animal_waiting", waiting | {"species": world.species["lynx"]})
    corners = [[-128.5, 61.8], [-128.3, 61.8], [-128.3, 62.0], [-128.5, 61.8]]
    leave = {
        "permission": new_id(), "parcel": {"type": "Polygon", "coordinates": [corners]},
        "name": "Upper creek forest block", "holder": "A neighbour",
        "valid_from": (now - 9 * days).date(), "valid_until": (now + 90 * days).date(),
    }  # fmt: skip
    submit(world.manager, "keep_permission", leave)
    return {
        "line": str(world.line), "set": str(first), "part_kind": str(world.part_kinds["trigger"]),
        "device": str(world.device("body", "loose")), "kind": str(world.kinds["body"]),
    }  # fmt: skip


# Puts a page's words in place of those that stand, where both have the same style and scripts:
# axe then stays loaded and compiled, which takes longer than its look at a page.
TAKE_IN = """async path => {
  const needs = one => [...one.querySelectorAll('link[rel=stylesheet], script')]
    .map(file => file.outerHTML).join('');
  const answer = await fetch(path);
  const next = new DOMParser().parseFromString(await answer.text(), 'text/html');
  if (!answer.ok || needs(next) !== needs(document)) return false;
  document.title = next.title;
  document.body.replaceWith(document.adoptNode(next.body));
  return true;
}"""


@pytest.mark.parametrize("wide", [WIDE, pytest.param(PAGES, marks=pytest.mark.long)])
def test_axe_finds_nothing_nothing_is_too_wide_and_the_console_is_quiet(
    north: World, visit: Any, wide: tuple[str, ...]
) -> None:
    """In the short form those without a script of their own are taken into one page."""
    ids = furnish(north)
    seen = visit(client_of(north.manager), PHONE)
    page = seen.to("/t/north/more/")
    found, taken_in = [], 0
    plain = [path for path in PAGES if path not in wide]
    for path in plain:
        if page.evaluate(TAKE_IN, path.format(**ids)):
            found += [f"{path}: {one}" for one in _narrow(page)]
            taken_in += 1
        else:
            wide = (*wide, path)
    assert taken_in > len(plain) / 2 or not plain
    for path in wide:
        page = seen.to(path.format(**ids))
        found += [f"{path}: {one}" for one in _narrow(page, leave=() if path in WIDE else COLOURS)]
        if path in plain:
            continue
        page.set_viewport_size(DESK)
        # The colours are the same as on the phone, and judging them takes longest.
        found += [f"{path}, wide: {one}" for one in broken(page, RULES, leave=COLOURS)]
        page.set_viewport_size(PHONE)
    assert found == []
    assert seen.complaints == []


def _narrow(page: Any, leave: Sequence[str] = COLOURS) -> list[str]:
    """What is wrong with a page on a phone."""
    page.evaluate(OPEN_ALL)
    width = page.evaluate("document.documentElement.scrollWidth")
    found = [f"{width} px wide"] if width > PHONE["width"] else []
    found += [f"{words} has no room" for words in page.evaluate(CRAMPED)]
    return found + broken(page, RULES, leave=leave)


def test_words_stand_out_in_every_light(north: World, visit: Any) -> None:
    ids = furnish(north)
    Person.objects.filter(pk=str(north.manager.person)).update(light="dark")
    seen = visit(client_of(north.manager), PHONE)
    found = []
    for path in ("/t/north/", "/t/north/sets/{set}/", "/t/north/sets/{set}/check/",
                 "/t/north/sets/{set}/waiting/", "/t/north/gear/", "/t/north/map/"):  # fmt: skip
        page = seen.to(path.format(**ids))
        page.evaluate(OPEN_ALL)
        assert page.evaluate("document.documentElement.dataset.light") == "dark"
        for light in ("dark", "red"):
            page.evaluate("light => { document.documentElement.dataset.light = light }", light)
            found += [f"{path}, {light}: {one}" for one in broken(page, COLOURS, "rule")]
    assert found == []


def broken(page: Any, asked: list[str], by: str = "tag", leave: Sequence[str] = ()) -> list[str]:
    """The rules of axe that a page breaks, each with the first place."""
    options = {
        "runOnly": {"type": by, "values": asked},
        "rules": {one: {"enabled": False} for one in leave},
        "resultTypes": ["violations"],
    }
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE_SCRIPT)
    look = "asked => axe.run(document, asked).then(told => told.violations)"
    return [
        f"{one['id']}: {one['nodes'][0]['html'][:120]} "
        f"{one['nodes'][0].get('failureSummary', '')[:200]}"
        for one in page.evaluate(look, options)
    ]


SMALL = """least => [...document.querySelectorAll(
    'button, .button, .ways a, summary, select, textarea,'
    + 'input:not([type=hidden]):not([type=radio]):not([type=checkbox]), .choices label'
  )].filter(one => one.offsetParent && one.getBoundingClientRect().height < least)
    .map(one => [one.tagName, one.textContent.trim().slice(0, 40),
                 one.getBoundingClientRect().height].join(' '))"""


def test_what_one_does_on_a_phone_is_48_px_high(north: World, visit: Any) -> None:
    ids = furnish(north)
    seen = visit(client_of(north.student), PHONE)
    small = []
    for path in ("/t/north/", "/t/north/sets/{set}/", "/t/north/sets/{set}/check/",
                 "/t/north/sets/{set}/waiting/", "/t/north/lines/{line}/"):  # fmt: skip
        page = seen.to(path.format(**ids))
        small += [f"{path}: {one}" for one in page.evaluate(SMALL, 48)]
    assert small == []


def test_a_check_form_shows_a_part_only_when_it_is_asked_for(north: World, visit: Any) -> None:
    ids = furnish(north)
    page = visit(client_of(north.student), PHONE).to(f"/t/north/sets/{ids['set']}/check/")
    species = page.get_by_label("Species")
    assert not species.is_visible()
    page.get_by_label("Animal", exact=True).check()
    assert species.is_visible()
    page.get_by_label("Not reached").check()
    assert not species.is_visible()
    assert page.get_by_label("Reason").is_visible()
    assert not page.get_by_role("checkbox", name="Remade").is_visible()


def test_two_touches_keep_a_check(north: World, visit: Any) -> None:
    ids = furnish(north)
    page = visit(client_of(north.student), PHONE).to(f"/t/north/sets/{ids['set']}/")
    page.get_by_role("link", name="Log a check").click()
    page.get_by_role("button", name="In order, left as it was").click()
    assert page.get_by_text("The check is kept.").is_visible()


def test_the_map_shows_sets_and_a_tap_leads_to_placing_one(north: World, visit: Any) -> None:
    furnish(north)
    seen = visit(client_of(north.instructor), DESK)
    page = seen.to("/t/north/map/")
    page.locator("#map:not([aria-busy]) .map-sign").first.wait_for()
    assert page.locator(".map-sign").count() == 3
    page.locator(".map-sign").first.click(force=True)
    popup = page.locator(".leaflet-popup-content")
    popup.wait_for()
    assert "before" in popup.inner_text() or "end of" in popup.inner_text()
    assert "<" not in popup.inner_text()
    page.locator("#map").click(position={"x": 400, "y": 90})
    page.get_by_role("link", name="Place a set here").click()
    assert float(page.locator("#id_lat").input_value()) == pytest.approx(61.9, abs=0.5)
    assert float(page.locator("#id_lon").input_value()) == pytest.approx(-128.4, abs=0.5)
    assert seen.complaints == []


def test_a_line_is_drawn_by_tapping_and_the_places_stand_in_the_field(
    north: World, visit: Any
) -> None:
    furnish(north)
    seen = visit(client_of(north.instructor), DESK)
    page = seen.to("/t/north/lines/new/")
    page.locator("#map:not([aria-busy]) .map-sign").first.wait_for()
    for x in (120, 240, 360):
        page.locator("#map").click(position={"x": x, "y": 60 + x // 4})
    typed = page.locator("#id_path").input_value().splitlines()
    assert len(typed) == 3
    page.get_by_role("button", name="Take the last place back").click()
    assert page.locator("#id_path").input_value().splitlines() == typed[:2]
    page.locator("#id_name").fill("Ridge line")
    page.locator("#id_tz").select_option("America/Whitehorse")
    page.get_by_role("button", name="Keep the line").click()
    assert page.get_by_text("The line is kept.").is_visible()


def test_without_a_script_everything_can_still_be_written(
    north: World, chromium: Any, live_server: Any
) -> None:
    ids = furnish(north)
    context = chromium.new_context(viewport=PHONE, java_script_enabled=False)
    for name, morsel in client_of(north.student).cookies.items():
        context.add_cookies([{"name": name, "value": morsel.value, "url": live_server.url}])
    page = context.new_page()
    page.goto(f"{live_server.url}/t/north/sets/{ids['set']}/check/")
    page.get_by_label("Sprung, empty").check()
    page.get_by_label("Weather").check()
    page.get_by_role("checkbox", name="Remade").check()
    page.get_by_role("button", name="Keep the check").click()
    assert page.get_by_text("The check is kept.").is_visible()
    context.close()
