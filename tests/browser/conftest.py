"""A real browser on a real server: Chromium driven by Playwright, the live server of Django."""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.contrib.staticfiles.handlers import StaticFilesHandler
from django.test import Client
from playwright.sync_api import Browser, Page, Playwright, sync_playwright
from pytest_django.live_server_helper import LiveServer

from tests.browser.phone import Phone, phone_of
from tests.world import World, world_of
from tools.chromium import find

# Playwright's own loop runs in this thread, and Django would refuse the database inside it.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
PHONE = {"width": 360, "height": 740}
DESK = {"width": 1440, "height": 900}


@pytest.fixture(scope="session")
def driver() -> Iterator[Playwright]:
    """What drives every browser of a process."""
    with sync_playwright() as made:
        yield made


@pytest.fixture(scope="session")
def chromium(driver: Playwright) -> Iterator[Browser]:
    """One browser for all tests of a process."""
    there = find()
    assert there is not None, "make test fetches a Chromium; name one by LINEWARD_CHROMIUM"
    browser = driver.chromium.launch(executable_path=there, args=["--no-sandbox"])
    yield browser
    browser.close()


@pytest.fixture(scope="session")
def live_server() -> Iterator[LiveServer]:
    """Django's live server with the style and scripts as they lie in the project.

    pytest-django's own looks for the app that serves them under its usual name, which the house
    has replaced by one of its own (ground.statics).
    """
    server = LiveServer("localhost", start=False)
    # Hashed names lie in STATIC_ROOT, where whitenoise serves them as on a server.
    hashed = "HashedStatics" in settings.STORAGES["staticfiles"]["BACKEND"]
    handler: Any = (lambda pages: pages) if hashed else StaticFilesHandler
    server.thread.static_handler = handler
    server.start()
    yield server
    server.stop()


@pytest.fixture
def north(transactional_db: None) -> World:
    """A team whose rows the live server sees."""
    return world_of("north")


class Visit:
    """A page of the browser, signed in, that remembers what the console complained of."""

    def __init__(self, page: Page, address: str) -> None:
        self.page, self.address = page, address
        self.complaints: list[str] = []
        page.on("console", self._heard)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def _heard(self, message: Any) -> None:
        # A tile that is not drawn is a 404 and no fault of the page.
        if message.type in ("error", "warning") and "/tiles/" not in message.location["url"]:
            self.complaints.append(message.text)

    def to(self, path: str) -> Page:
        """Open a path of the site."""
        self.page.goto(self.address + path)
        return self.page


@pytest.fixture
def visit(chromium: Browser, live_server: Any) -> Iterator[Any]:
    """visit(client, size, light): a page in which that client's person is signed in."""
    contexts = []

    def open_as(client: Client, size: dict[str, int], light: str = "light") -> Visit:
        context = chromium.new_context(viewport=size, color_scheme=light)  # type: ignore[arg-type]
        contexts.append(context)
        for name, morsel in client.cookies.items():
            context.add_cookies([{"name": name, "value": morsel.value, "url": live_server.url}])
        return Visit(context.new_page(), live_server.url)

    yield open_as
    for context in contexts:
        context.close()


@pytest.fixture
def phone(
    driver: Playwright, chromium: Browser, live_server: Any, tmp_path: Path
) -> Iterator[Phone]:
    """A phone that shares the browser of all tests: quick, and not to be killed."""
    with phone_of(driver, tmp_path, live_server.url, chromium) as made:
        yield made


@pytest.fixture
def frail(driver: Playwright, live_server: Any, tmp_path: Path) -> Iterator[Phone]:
    """A phone with a browser of its own, which can be killed and started again."""
    with phone_of(driver, tmp_path / "profile", live_server.url) as made:
        yield made
