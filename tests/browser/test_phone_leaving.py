"""What a phone does when its person goes, its clock is wrong, or its browser keeps nothing."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from playwright.sync_api import CDPSession, Page, expect

from tests.browser.conftest import DESK
from tests.browser.phone import ROUND, Phone, hold, ready
from tests.browser.test_phone_round import stand
from tests.pages.cast import client_of
from tests.world import World
from trapline.ground import clock
from trapline.ground.scope import team_scope
from trapline.journal.models import Act

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# How many rows each part of the store holds.
HELD = """() => new Promise((done) => {
  indexedDB.open("lineward").onsuccess = async ({ target: { result: db } }) => {
    const names = ["acts", "photos", "bundles"];
    const at = db.transaction(names);
    const count = (name) => new Promise((told) => {
      at.objectStore(name).count().onsuccess = (event) => told(event.target.result); });
    const found = await Promise.all(names.map(count));
    db.close();
    done(found);
  };
})"""


def open_round(world: World, phone: Phone, **more: Any) -> Page:
    page = phone.start(client=client_of(world.student), **more)
    page.goto(phone.address + ROUND)
    return ready(page)


def test_signing_out_on_another_page_wipes_the_phone_once_nothing_is_owed(
    north: World, phone: Phone
) -> None:
    stand(north, 1)
    page = open_round(north, phone)
    page.route("**/api/v1/sync/", lambda route: route.abort())
    page.get_by_role("link", name="A-1").click()
    hold(page)
    page.get_by_text("Kept: A-1").wait_for()
    page.goto(phone.address + "/settings/")
    page.get_by_role("button", name="Sign out").click()
    page.get_by_text("This device keeps acts or photos of yours that are not sent.").wait_for()
    assert page.evaluate(HELD) == [1, 0, 1]
    page.unroute("**/api/v1/sync/")
    page.goto(phone.address + ROUND + "#kept")
    page.get_by_role("button", name="Send now").click()
    expect(page.locator("[data-state=sent]")).to_have_count(1)
    page.goto(phone.address + "/settings/")
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/sign-in/**")
    assert page.evaluate(HELD) == [0, 0, 0]


def test_a_phone_asleep_killed_set_back_and_in_another_zone_records_wall_time_less_skew(
    north: World, frail: Phone
) -> None:
    """The times that the field guide gives: the wall clock corrected by the skew measured at sync.

    Asleep: the wall clock runs on and the monotonic one stands (Playwright's set_system_time moves
    the one only). What the monotonic reading says is kept beside it and makes no time. Five hours
    it sleeps; after two it is woken for a check, and then, asleep again, its browser is killed.
    """
    stand(north, 4)
    hour = timedelta(hours=1)
    began = datetime.now(UTC) - 6 * hour
    page = open_round(north, frail)
    in_zone(page.context.new_cdp_session(page), "America/Whitehorse")
    page.context.set_offline(True)
    page.clock.install(time=began)
    kept(page, "A-1")
    page.clock.set_system_time(began + 2 * hour)  # asleep in between
    kept(page, "A-2")
    frail.kill()
    # A browser writes its cookies down every half minute; this one was not given so long.
    page = frail.start(offline=True, client=client_of(north.student))
    zone = page.context.new_cdp_session(page)
    in_zone(zone, "America/Whitehorse")
    page.clock.install(time=began + 5 * hour)
    page.goto(frail.address + ROUND)
    kept(page, "A-3")
    page.clock.set_system_time(began + 3 * hour)  # set back by two hours
    in_zone(zone, "America/Halifax")
    kept(page, "A-4")
    page.goto(frail.address + ROUND + "#kept")
    page.context.set_offline(False)
    page.get_by_role("button", name="Send now").click()
    expect(page.locator("[data-state]:not([data-state=kept])")).to_have_count(4)
    with team_scope(north.team):
        acts = sorted(Act.objects.filter(kind="log_check"), key=lambda one: one.wall_at)
    assert [round((one.wall_at - began) / hour, 1) for one in acts] == [0, 2, 3, 5]
    for one in acts:
        assert one.acted_at == one.wall_at - timedelta(seconds=one.skew_s)
        assert one.skew_s == pytest.approx(-3 * 3600, abs=60)  # six hours later it shows three
    first, woken, back, after = acts
    # Each as the phone showed it: seven hours west of Greenwich, then four (tz database).
    said = [json.loads(bytes(one.body))["wall_at"][-6:] for one in acts]
    assert said == ["-07:00", "-07:00", "-04:00", "-07:00"]
    # Two hours by the wall clock, some seconds by the monotonic one of the same session, as when it
    # was set back; the kill began another session, whose reading says nothing of the one before.
    assert first.session == woken.session != after.session == back.session
    assert abs(woken.mono_s - first.mono_s) < 600
    assert abs(back.mono_s - after.mono_s) < 600
    # What lies ahead of the server's clock is flagged and waits for a person: not mended.
    ahead = [one for one in acts if one.acted_at > clock.now() + timedelta(minutes=2)]
    assert [(one.id, one.clock_flagged, one.state) for one in ahead] == [
        (after.id, True, "needs_review")
    ]
    assert {one.state for one in acts if one not in ahead} == {"applied"}


def in_zone(session: CDPSession, name: str) -> None:
    """The phone stands in this time zone from now on."""
    session.send("Emulation.setTimezoneOverride", {"timezoneId": name})


def kept(page: Page, label: str) -> None:
    """The usual check by keys, which needs no clock that runs."""
    page.goto(page.url.split("#")[0] + "#round")
    page.get_by_role("link", name=label).click()
    page.locator("#usual").press("Enter")
    page.locator("#usual").press("Enter")
    page.get_by_text(f"Kept: {label}").wait_for()


# A battery that is nearly empty, and a page that came over plain http from another machine.
WEAK = """navigator.getBattery = async () =>
  Object.assign(new EventTarget(), { level: 0.05, charging: false });
Object.defineProperty(globalThis, "isSecureContext", { get: () => false });"""


def test_what_the_browser_or_the_battery_may_take_away_is_said_and_saved(
    north: World, phone: Phone, visit: Any
) -> None:
    """Storage that may be erased; no https; a low battery, which saves a file; no storage.

    The file is sent by the instructor and stays the student's, byte for byte.
    """
    (set_id,) = stand(north, 1)
    page = open_round(north, phone)
    page.route("**/api/v1/sync/", lambda route: route.abort())
    page.evaluate("navigator.storage.persist = () => Promise.resolve(false)")
    page.get_by_role("link", name="A-1").click()
    hold(page)
    page.get_by_text("This browser may erase what is kept here").wait_for()
    page.add_init_script(WEAK)
    with page.expect_download() as saved:
        page.reload()
    file = saved.value.path().read_bytes()
    (act,) = json.loads(file)["acts"]
    assert json.loads(act["text"])["body"]["set"] == str(set_id)
    page.get_by_text("The battery is low").wait_for()
    page.get_by_text("This page is not served over https").wait_for()
    page.add_init_script(
        "IDBFactory.prototype.open = () => { throw new DOMException('', 'SecurityError') }"
    )
    page.reload()
    page.get_by_text("The browser’s storage cannot be used (SecurityError).").wait_for()
    page.get_by_role("link", name="To your teams").wait_for()
    desk = visit(client_of(north.instructor), DESK).to("/t/north/phone/load/")
    queue = {"name": "queue.json", "mimeType": "application/json", "buffer": file}
    desk.get_by_label("File").set_input_files(queue)
    for _ in range(2):  # what is known already is not taken in again
        desk.locator("#found button").click()
        desk.locator("#found li").wait_for()
        desk.locator("#found p[role=status]:not(:empty)").wait_for()
        desk.evaluate("document.querySelector('#found button').disabled = false")
    with team_scope(north.team):
        taken = Act.objects.get(id=act["id"])
    assert (taken.acted_by_id, taken.sent_by_id) == (north.student.member, north.instructor.member)
    assert bytes(taken.body) == act["text"].encode()


def test_a_sign_in_that_ends_while_offline_stops_no_check_and_is_said_when_it_is_known(
    north: World, phone: Phone
) -> None:
    stand(north, 2)
    page = open_round(north, phone)
    assert phone.context is not None
    phone.context.set_offline(True)
    phone.context.clear_cookies()
    for label in ("A-1", "A-2"):
        page.get_by_role("link", name=label).click()
        hold(page)
        page.get_by_text(f"Kept: {label}").wait_for()
    phone.context.set_offline(False)
    page.get_by_text("Your sign-in has ended. You can go on").wait_for()
    assert page.evaluate(HELD)[0] == 2
    phone.sign_in(client_of(north.instructor))  # another person takes the phone
    page.reload()
    page.get_by_role("link", name="Kept").click()
    page.get_by_text("2 of Signe wait for their own sign-in.").wait_for()
    with team_scope(north.team):
        assert not Act.objects.filter(kind="log_check").exists()
