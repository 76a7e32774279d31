"""The phone without a signal: it opens, keeps, is killed, and sends each record once, in order."""

from datetime import timedelta
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser.phone import ROUND, Phone, hold, ready
from tests.pages.cast import client_of
from tests.world import World
from trapline.ground import clock
from trapline.ground.scope import team_scope
from trapline.lines.models import Check

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def place(world: World, count: int) -> list[Any]:
    """Sets of the student's, placed a day ago."""
    at = clock.now() - timedelta(days=1)
    return [world.set(f"A-{number}", at=at) for number in range(1, count + 1)]


def checks(world: World) -> list[Check]:
    with team_scope(world.team):
        return list(Check.objects.order_by("at"))


def test_it_opens_offline_after_a_kill_keeps_a_check_and_sends_it(
    north: World, frail: Phone
) -> None:
    phone = frail
    sets = place(north, 3)
    page = phone.start(client=client_of(north.student))
    page.goto(phone.address + ROUND)
    ready(page)
    phone.kill()
    page = phone.start(offline=True)
    page.goto(phone.address + ROUND)
    page.wait_for_selector(".sets li")
    page.get_by_role("link", name="A-1").click()
    hold(page)
    assert "Kept" in page.locator("#toast").inner_text()
    phone.kill()
    page = phone.start(offline=True)
    page.goto(phone.address + "/phone/")
    page.wait_for_selector(".sets li")
    assert "1 kept, not sent" in page.locator("#standing").inner_text()
    assert phone.context is not None
    later = phone.context.new_page()  # and nine days after the last time there was a signal
    later.clock.set_fixed_time(clock.now() + timedelta(days=9))
    later.goto(phone.address + "/phone/")
    later.get_by_text("1 kept, not sent").wait_for()
    later.get_by_text("Overdue by 9 days").first.wait_for()
    later.clock.set_system_time(clock.now())  # one clock for all pages of a browser
    later.close()
    # A browser writes its cookies down every half minute: the sign-in is made again here.
    phone.sign_in(client_of(north.student))
    phone.context.set_offline(False)
    page.goto(phone.address + "/phone/#kept")
    page.get_by_role("button", name="Send now").click()
    page.wait_for_selector("[data-state=sent]")
    assert [(one.set_id, one.found) for one in checks(north)] == [(sets[0], "in_order")]


def test_an_answer_that_is_lost_and_a_sign_in_that_has_ended_lose_and_double_nothing(
    north: World, phone: Phone
) -> None:
    sets = place(north, 3)
    page = phone.start(client=client_of(north.student))
    page.goto(phone.address + ROUND)
    ready(page)
    assert phone.context is not None
    phone.context.set_offline(True)
    for number in (1, 2, 3):
        page.get_by_role("link", name=f"A-{number}").click()
        hold(page)
    lost = []

    def applied_but_not_answered(route: Any) -> None:
        route.fetch()
        lost.append(route.request.post_data)
        route.abort()

    page.route("**/api/v1/sync/", applied_but_not_answered, times=1)
    phone.context.set_offline(False)
    page.get_by_role("link", name="Kept").click()
    page.get_by_role("button", name="Send now").click()
    page.get_by_text("sent, no answer yet").first.wait_for()
    assert len(lost) == 1
    assert len(checks(north)) == 3
    phone.context.clear_cookies()
    page.get_by_role("button", name="Send now").click()
    page.get_by_text("Your sign-in has ended.").wait_for()
    assert page.locator("[data-state=kept]").count() == 3
    phone.sign_in(client_of(north.student))
    page.get_by_role("button", name="Send now").click()
    expect(page.locator("[data-state=sent]")).to_have_count(3)
    assert [one.set_id for one in checks(north)] == sets
