"""A round on the phone: a catch, an alarm, what was not reached; every part in every light."""

from datetime import timedelta
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import ROUND, Phone, hold, ready
from tests.browser.test_looks import RULES, broken
from tests.pages.cast import client_of
from tests.world import World
from trapline.ground import clock
from trapline.ground.scope import team_scope
from trapline.lines.models import Catch, Check, Waiting
from trapline.record.desk import submit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def stand(world: World, count: int) -> list[Any]:
    """Sets of the student's, a tag book for their licence."""
    at = clock.now() - timedelta(days=1)
    book = {
        "licence": world.licence, "kind": "site_tag", "prefix": "NV-",
        "first": 11, "last": 20,
    }  # fmt: skip
    submit(world.instructor, "issue_numbers", book)
    return [world.set(f"A-{number}", at=at) for number in range(1, count + 1)]


def test_a_catch_an_alarm_and_a_set_not_reached_come_in_as_they_were_entered(
    north: World, phone: Phone
) -> None:
    sets = stand(north, 4)
    page = phone.start(client=client_of(north.student))
    page.goto(phone.address + ROUND)
    ready(page)
    assert phone.context is not None
    phone.context.set_offline(True)
    page.get_by_role("link", name="A-1").click()
    page.get_by_role("link", name="Animal", exact=True).click()
    page.get_by_role("button", name="Keep the check").click()
    assert page.locator("#wrong").inner_text() == "Say which animal it is."
    assert page.get_by_label("Site tag or coupon").input_value() == "NV-11"
    page.get_by_label("Species").select_option(label="Marten")
    page.get_by_label("On arrival").select_option("dead")
    page.get_by_role("button", name="Keep the check").click()
    page.get_by_role("link", name="Stop page").click()
    page.get_by_text("Marten · NV-11 · ").wait_for()  # in hand, with its number, before any signal
    page.get_by_role("link", name="Close the stop page").click()
    page.get_by_role("link", name="A-2").click()
    page.get_by_role("link", name="Not reached").click()
    page.get_by_label("Why it was not reached").fill("Thin ice at the narrows.")
    page.get_by_role("button", name="Keep the check").click()
    page.get_by_role("link", name="A-3").click()
    page.get_by_role("link", name="Animal waiting").click()
    page.get_by_label("Species").select_option(label="Lynx")
    assert page.get_by_text("Leave and call first").is_visible()
    page.get_by_role("button", name="Keep the alarm").click()
    page.get_by_role("link", name="A-4").click()
    hold(page)
    page.get_by_role("button", name="Undo").click()
    page.get_by_text("Undone: A-4").wait_for()
    assert "4 kept, not sent" in page.locator("#standing").inner_text()
    page.get_by_role("link", name="Kept").click()
    phone.context.set_offline(False)
    page.get_by_role("button", name="Send now").click()
    expect(page.locator("[data-state=sent]")).to_have_count(4, timeout=20_000)
    with team_scope(north.team):
        checks = {one.set_id: one for one in Check.objects.all()}
        assert {key: one.found for key, one in checks.items()} == {
            sets[0]: "animal", sets[1]: "not_reached",
        }  # fmt: skip
        assert checks[sets[1]].reason == "Thin ice at the narrows."
        assert [(one.site_tag, one.fate) for one in Catch.objects.all()] == [
            ("NV-11", "found_dead")
        ]
        assert [one.set_id for one in Waiting.objects.all()] == [sets[2]]


def test_a_button_held_again_while_the_disk_is_slow_keeps_one_check(
    north: World, phone: Phone
) -> None:
    stand(north, 1)
    page = phone.start(client=client_of(north.student))
    page.goto(phone.address + ROUND)
    ready(page)
    assert phone.context is not None
    phone.context.set_offline(True)
    page.get_by_role("link", name="A-1").click()
    page.evaluate(BUSY_DISK, 2500)
    page.locator("#usual").hover()
    for _ in range(2):
        page.mouse.down()
        page.wait_for_timeout(900)
        page.mouse.up()
    page.get_by_text("Kept: A-1").wait_for()
    assert "1 kept, not sent" in page.locator("#standing").inner_text()


# Another writer holds the queue for so many milliseconds.
BUSY_DISK = """ms => { indexedDB.open("lineward").onsuccess = ({ target }) => {
  const until = Date.now() + ms;
  const acts = target.result.transaction("acts", "readwrite").objectStore("acts");
  const again = () => {
    if (Date.now() < until) acts.get(0).onsuccess = again; else target.result.close(); };
  again();
}; }"""


def test_axe_finds_nothing_on_any_part_in_any_light_and_nothing_is_wider_than_a_phone(
    north: World, phone: Phone
) -> None:
    """In the light every rule; in the others, where only the colours differ, the contrast."""
    sets = stand(north, 2)
    page = phone.start(client=client_of(north.student))
    page.goto(phone.address + ROUND)
    ready(page)
    check = kept_and_sent(page)
    found = []
    for part in (part.format(sets[0], check) for part in PARTS):
        shown(page, part)
        for light in ("light", "dark", "red"):
            page.evaluate("light => { document.documentElement.dataset.light = light }", light)
            asked = (RULES, "tag") if light == "light" else (["color-contrast"], "rule")
            found += [f"{part}, {light}: {one}" for one in broken(page, *asked)]
        found += [f"{part}: {one}" for one in page.evaluate(SMALL)]
        found += [f"{part}: {one}" for one in page.evaluate(CLOSE)]
        if page.evaluate("document.documentElement.scrollWidth") > 360:
            found.append(f"{part}: wider than the phone")
        page.evaluate(LARGE, 200)
        if page.evaluate("document.documentElement.scrollWidth") > 360:
            found.append(f"{part}: wider than the phone with text at 200 %")
        found += [f"{part}, 200 %: {one}" for one in page.evaluate(CUT) + page.evaluate(BROKEN)]
        page.evaluate(LARGE, 100)
    assert found == []


def kept_and_sent(page: Page) -> str:
    """A check that has gone out, so that the list of what is kept has a row; its id."""
    page.get_by_role("link", name="A-1").click()
    for _ in range(2):
        page.locator("#usual").press("Enter")
    page.get_by_text("Kept: A-1").wait_for()
    page.get_by_role("link", name="Kept").click()
    page.get_by_role("button", name="Send now").click()
    address = page.get_by_role("link", name="Correct").get_attribute("href") or ""
    return address.rsplit("/", 1)[1]


def shown(page: Page, part: str) -> None:
    """A part of the phone, all that can be opened in it open."""
    page.evaluate("part => { document.querySelector('#main').replaceChildren();"
                  " location.hash = part; }", part)  # fmt: skip
    page.wait_for_selector("main h1")
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")


PARTS = (
    "round", "set/{}", "check/{}/animal", "check/{}/gone", "check/{}/in_order/raised",
    "check/{}/correct/{}", "waiting", "map", "kept", "stop", "phone",
)  # fmt: skip
# Whatever is touched is 48 px high or more (issue: targets at least 48 px).
SMALL = """[...document.querySelectorAll(
  "main a, main button, main select, main textarea, main input:not(.pick input), main summary, "
  + "main label.pick, #notices a, #notices button, .bar a, nav a")]
  .filter(one => one.offsetParent !== null && one.getBoundingClientRect().height < 47.5)
  .map(one => `small: ${one.outerHTML.slice(0, 80)}`)"""
# Of two targets neither of which holds the other, at least 8 px lie between (issue).
CLOSE = """(() => {
  const all = [...document.querySelectorAll(
    "main a, main button, main select, main textarea, main input:not(.pick input), main summary, "
    + "main label.pick, #notices a, #notices button, .bar a, nav a")]
    .filter(one => one.offsetParent !== null)
    .map(one => [one, one.getBoundingClientRect()]);
  const found = [];
  for (const [index, [one, a]] of all.entries()) for (const [other, b] of all.slice(index + 1)) {
    if (one.closest("nav") !== other.closest("nav")) continue;
    const across = Math.max(a.left - b.right, b.left - a.right);
    const down = Math.max(a.top - b.bottom, b.top - a.bottom);
    if (Math.max(across, down) < 7.5)
      found.push(`close: ${one.textContent} | ${other.textContent}`);
  }
  return found;
})()"""
# WCAG 2.2, 1.4.4: text is resized to 200 % without loss. The sizes are all in rem.
LARGE = """percent => {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(`html { font-size: ${percent}% }`);
  document.adoptedStyleSheets = [sheet];
}"""
# Text that is cut off by its own box.
CUT = """[...document.querySelectorAll("main *, .bar *, nav *")]
  .filter(one => one.offsetParent !== null && one.clientWidth > 0)
  .filter(one => !one.closest(".chart, .papers") && !/^(SELECT|INPUT|TEXTAREA)$/.test(one.tagName))
  .filter(one => one.scrollWidth > one.clientWidth + 1)
  .map(one => `cut off: ${one.outerHTML.slice(0, 80)}`)"""
# A word that is broken where it has no hyphen, of what is touched or leads.
BROKEN = """[...document.querySelectorAll(
  ".bar a, nav a, main .button, main button, main h1, main h2")]
  .filter(one => one.offsetParent !== null).flatMap(one => {
    const found = [], texts = document.createTreeWalker(one, NodeFilter.SHOW_TEXT);
    while (texts.nextNode())
      for (const { 0: word, index } of texts.currentNode.data.matchAll(/[^\\s-]+/g)) {
      const range = document.createRange();
      range.setStart(texts.currentNode, index);
      range.setEnd(texts.currentNode, index + word.length);
      const tops = new Set([...range.getClientRects()].map(rect => Math.round(rect.top)));
      if (tops.size > 1) found.push(`broken: ${word}`);
    }
    return found;
  })"""
