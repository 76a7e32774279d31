"""The phone without a signal: it opens, keeps, is killed, and sends each record once, in order."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Playwright

from tests.browser.phone import ROUND, Phone, hold, phone_of, ready
from tests.pages.cast import client_of
from tests.world import World
from trapline.ground import clock
from trapline.ground.scope import team_scope
from trapline.lines.models import Check

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def phone(driver: Playwright, live_server: Any, tmp_path: Path) -> Iterator[Phone]:
    with phone_of(driver, tmp_path / "profile", live_server.url) as made:
        yield made
        assert made.complaints == []


def place(world: World, count: int) -> list[Any]:
    """Sets of the student's, placed a day ago."""
    at = clock.now() - timedelta(days=1)
    return [world.set(f"A-{number}", at=at) for number in range(1, count + 1)]


def checks(world: World) -> list[Check]:
    with team_scope(world.team):
        return list(Check.objects.order_by("at"))


def test_it_opens_offline_after_a_kill_keeps_a_check_and_sends_it(
    north: World, phone: Phone
) -> None:
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
    # A browser writes its cookies down every half minute: the sign-in is made again here.
    phone.sign_in(client_of(north.student))
    phone.context.set_offline(False)
    page.goto(phone.address + "/phone/#kept")
    page.get_by_role("button", name="Send now").click()
    page.wait_for_selector("[data-state=sent]")
    assert [(one.set_id, one.found) for one in checks(north)] == [(sets[0], "in_order")]
