"""Whatever is found and done at a set, kept by the phone’s own forms and keys alone, and applied.

No position is taken before its person starts it; the map keeps to its room; the stop page is noted;
what has gone out is corrected.
"""

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.conf import LazySettings
from playwright.sync_api import Page, Route, expect

from tests.browser.phone import ROUND, Phone, ready
from tests.pages.cast import client_of
from tests.world import PLACE, World
from trapline.ground import clock
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.lines.models import Arrangement, Check

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

NEW_PLACE = {"latitude": PLACE[1] + 0.004, "longitude": PLACE[0], "accuracy": 6}  # 446 m away
# Whoever asks the browser for a position is counted.
COUNTED = """window.asked = 0;
for (const name of ["watchPosition", "getCurrentPosition"]) {
  const real = Geolocation.prototype[name];
  Geolocation.prototype[name] = function (...given) {
    window.asked += 1; return real.apply(this, given); };
}"""
TILES = "caches.open('tiles').then((all) => all.keys()).then((all) => all.length)"


def draw_tiles(folder: Path) -> None:
    """Two tiles over the set in each of three lights, of 1.9 MB each."""
    for light in ("light", "dark", "red"):
        # Slippy-map numbers of the place by their usual formula (web mercator).
        for z, x, y in ((9, 73, 143), (10, 146, 286)):
            path = folder / "tiles" / light / str(z) / str(x) / f"{y}.webp"
            path.parent.mkdir(parents=True)
            path.write_bytes(bytes(1_900_000))


def test_all_that_is_found_and_done_at_a_set_comes_in_by_the_phones_own_forms(
    north: World, phone: Phone, settings: LazySettings, tmp_path: Path
) -> None:
    settings.MEDIA_ROOT = str(tmp_path)
    draw_tiles(tmp_path)
    set_id = north.set("A-1", at=clock.now() - timedelta(days=1), loop_height_m=0.25)
    page = phone.start(
        client=client_of(north.student), geolocation=NEW_PLACE, permissions=["geolocation"]
    )
    page.add_init_script(COUNTED)
    page.goto(phone.address + ROUND)
    ready(page)
    say_erase_before_a_queue(page)
    keep_the_map_within_its_room(page)
    assert phone.context is not None
    phone.context.set_offline(True)
    look_eight_times(page)
    open_the_stop_page(page)
    phone.context.set_offline(False)
    sent(page, 9)
    correct_and_withdraw(page)
    sent(page, 11)
    decide_on_a_refused_act(page)
    assert_all_stands(north, set_id)


def say_erase_before_a_queue(page: Page) -> None:
    page.get_by_text("This browser may erase what is kept here").wait_for()
    page.get_by_role("button", name="Understood").press("Enter")
    expect(page.locator(".about-erase")).to_have_count(0)
    assert "All sent" in page.locator("#standing").inner_text()


def keep_the_map_within_its_room(page: Page) -> None:
    """The size is the person's; a smaller one lets go of what is too much."""
    page.get_by_role("link", name="Phone").press("Enter")
    for room, kept in (("20", 6), ("5", 2)):
        page.get_by_label("Room for the map").select_option(room)
        page.get_by_role("button", name="Fetch the map of these sets").press("Enter")
        page.get_by_text(f"{kept} of 6 tiles are kept, {1.9 * kept:.1f} MB").wait_for()
        assert page.evaluate(TILES) == kept
    page.get_by_role("link", name="Round").press("Enter")


def look(page: Page, found: str, *more: tuple[str, str]) -> None:
    """A check of the set with keys alone; more: what is chosen or typed, by label."""
    page.get_by_role("link", name="A-1").press("Enter")
    page.get_by_role("link", name=found, exact=True).press("Enter")
    for label, said in more:
        field = page.get_by_label(label, exact=True)
        if field.evaluate("one => one.tagName") == "SELECT":
            field.select_option(said)
        else:
            field.fill(said)
    keep(page)


def keep(page: Page) -> None:
    page.get_by_role("button", name="Keep the check").press("Enter")
    page.get_by_role("status").filter(has_text="Kept: A-1").wait_for()  # read aloud by itself


def look_eight_times(page: Page) -> None:
    look(page, "Sprung, empty", ("By what sign", "weather"))
    look(page, "Damaged", ("Note", "The frame is bent."))
    look(page, "Buried or frozen in", ("Note", "Under 20 cm."))
    look(page, "Gone", ("How it is gone", "taken"))
    look(page, "Part replaced", ("Note", "Lock changed."))  # which one, the page asks there
    page.get_by_role("link", name="A-1").press("Enter")
    page.get_by_role("link", name="Raised", exact=True).press("Enter")
    page.get_by_label("New height of the loop’s bottom (cm)").fill("40")
    page.get_by_text("Until now: 25 cm. Raised by 15 cm.").wait_for()
    keep(page)
    page.get_by_role("link", name="A-1").press("Enter")
    page.get_by_text("The phone takes no position until you start it.").wait_for()
    page.get_by_role("link", name="Moved", exact=True).press("Enter")
    page.get_by_role("button", name="Keep the check").press("Enter")
    wrong = page.get_by_role("alert").filter(has_text="a moved set needs its new place.")
    wrong.wait_for()
    assert page.evaluate("window.asked") == 0
    page.get_by_role("button", name="Start the position").press("Enter")
    page.get_by_text("The new place is where the phone is, to within 6 m.").wait_for()
    assert page.evaluate("window.asked") == 1
    keep(page)
    look_from_a_distance(page)


def look_from_a_distance(page: Page) -> None:
    """How it was seen stands beside how far the phone is; from a distance says from how far."""
    page.get_by_role("link", name="A-1").press("Enter")
    page.get_by_text("The phone is 445 m from the set, to within 6 m.").wait_for()
    page.get_by_label("From a distance").press(" ")
    usual = page.locator("#usual")
    usual.click()  # a touch that does not stay keeps nothing
    usual.press("Enter")
    page.get_by_text("Press once more to keep the check.").wait_for()
    assert page.locator("#toast p").count() == 0
    usual.press("Enter")
    page.get_by_text("Say from how far the set was seen.").wait_for()
    page.get_by_label("From how far (m)").fill("40")
    for _ in range(2):
        usual.press("Enter")
    page.get_by_role("status").filter(has_text="Kept: A-1").wait_for()


def open_the_stop_page(page: Page) -> None:
    """Nothing else of the app shows, and nobody takes the note of it back."""
    page.get_by_role("link", name="Stop page").press("Enter")
    page.get_by_role("heading", name="Stop page").wait_for()
    for part in (".bar", ".ways", "#notices", "#toast"):
        assert not page.locator(part).is_visible()
    run_out = clock.now().date() > date(2026, 6, 30)  # the last day of the world's licence
    assert page.get_by_text("· RUN OUT").is_visible() == run_out
    page.get_by_role("link", name="Close the stop page").press("Enter")
    page.get_by_role("link", name="Kept").press("Enter")
    noted = page.locator(".act").filter(has_text="Stop page opened")
    expect(noted.get_by_text("Kept on the phone")).to_be_visible()
    assert noted.get_by_role("button", name="Undo").count() == 0


def sent(page: Page, count: int) -> None:
    page.get_by_role("button", name="Send now").press("Enter")
    expect(page.locator("[data-state=sent]")).to_have_count(count, timeout=20_000)


def correct_and_withdraw(page: Page) -> None:
    page.locator(".act", has_text="Sprung, empty").get_by_role("link", name="Correct").press(
        "Enter"
    )
    page.get_by_text("Both stay in the record").wait_for()
    page.get_by_role("link", name="Damaged", exact=True).press("Enter")
    keep(page)
    page.get_by_role("link", name="Kept").press("Enter")
    page.locator(".act", has_text="Gone").get_by_role("link", name="Correct").press("Enter")
    page.once("dialog", lambda dialog: dialog.accept())
    page.get_by_role("button", name="Withdraw it").press("Enter")
    page.get_by_text("Kept: A-1 · withdrawn").wait_for()
    page.get_by_role("link", name="Kept").press("Enter")


def decide_on_a_refused_act(page: Page) -> None:
    """What the server cannot read stays on the phone until its person sends or throws it away."""
    tries = []

    def refuse(route: Route) -> None:
        (text,) = json.loads(route.request.post_data or "")["acts"]
        tries.append(text)
        problem = {"field": "kind", "code": "unknown_kind", "detail": "No such act."}
        said = {"id": json.loads(text)["id"], "state": "refused", "was": "", "kept": False}
        acts = [{**said, "problems": [problem]}]
        route.fulfill(json={"received_at": None, "skew_s": 0, "acts": acts})

    page.route("**/api/v1/sync/", refuse)
    page.get_by_role("link", name="Round").press("Enter")
    look(page, "Damaged")
    page.get_by_role("link", name="Kept").press("Enter")
    page.get_by_role("button", name="Send now").press("Enter")
    row = page.locator("[data-state=refused]")
    for again in (True, False):
        row.get_by_text("It stays here until you decide.").wait_for()
        row.get_by_text("No such act.").wait_for()
        if again:
            row.get_by_role("button", name="Send once more").press("Enter")
            expect(row).to_have_count(0)
            page.get_by_role("button", name="Send now").press("Enter")
    page.once("dialog", lambda dialog: dialog.accept())
    row.get_by_role("button", name="Throw away").press("Enter")
    expect(row).to_have_count(0)
    assert len(tries) == 2 and len(set(tries)) == 1  # the same bytes each time
    assert "All sent" in page.locator("#standing").inner_text()


def assert_all_stands(north: World, set_id: UUID) -> None:
    def told(one: Check) -> tuple[Any, ...]:
        return one.found, one.sign or one.gone_how, one.done, one.note

    with team_scope(north.team):
        checks = list(Check.objects.order_by("at", "act__received_at", "id"))
        stands = list(Arrangement.objects.exclude(cause="placed").order_by("at"))
        states = list(Act.objects.filter(session__gt="").values_list("kind", "state"))
        place = Arrangement.objects.get(cause="moved").place
    first = [one for one in checks if one.corrects_id is None]
    assert [told(one) for one in first] == [
        ("sprung_empty", "weather", ["remade"], ""),
        ("damaged", "", ["remade"], "The frame is bent."),
        ("buried", "", ["remade"], "Under 20 cm."),
        ("gone", "taken", [], ""),
        ("in_order", "", ["part_replaced"], "Lock changed."),
        ("in_order", "", ["raised"], ""),
        ("in_order", "", ["moved"], ""),
        ("in_order", "", ["left"], ""),
    ]
    assert {(one.how_seen, one.position is None) for one in first[:6]} == {("at_set", True)}
    last = first[-1]
    assert (last.how_seen, last.seen_from_m, last.accuracy_m) == ("from_distance", 40, 6)
    assert last.position.coords == place.coords
    again = {one.corrects_id: one for one in checks if one.corrects_id}
    assert (again[first[0].id].found, again[first[0].id].at) == ("damaged", first[0].at)
    assert again[first[3].id].withdraws
    assert {one.set_id for one in checks} == {set_id}
    assert [(one.cause, one.loop_height_m, one.accuracy_m) for one in stands] == [
        ("raised", 0.4, None), ("moved", None, 6),
    ]  # fmt: skip
    assert place.coords == pytest.approx((NEW_PLACE["longitude"], NEW_PLACE["latitude"]))
    assert {state for _, state in states} == {"applied"}
    assert sorted(kind for kind, _ in states) == [
        "correct_check", "correct_check", *["log_check"] * 8, "open_stop_page",
    ]  # fmt: skip
    assert last.flags == first[-2].flags == []  # a set that was moved stands in its new place
