"""A phone for the tests: a browser with a profile on the disk, to be killed and started again."""

import os
import signal
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from django.test import Client
from playwright.sync_api import Browser, BrowserContext, Page, Playwright

from tools.chromium import find

ROUND = "/t/north/phone/"


class Phone:
    """One profile; `start` opens the browser, `kill` ends it as a flat battery does.

    With a browser it is a fresh context of that one: quick to start, and not to be killed.
    """

    def __init__(
        self, driver: Playwright, profile: Path, address: str, browser: Browser | None = None
    ) -> None:
        self.driver, self.profile, self.address = driver, profile, address
        self.browser = browser
        self.context: BrowserContext | None = None
        self.complaints: list[str] = []

    def start(self, *, offline: bool = False, client: Client | None = None, **more: Any) -> Page:
        """Start the browser; with a client, that client's person is signed in."""
        held = {"viewport": {"width": 360, "height": 740}, **more}
        if self.browser is not None:
            self.context = self.browser.new_context(**held)
        else:
            self.context = self.driver.chromium.launch_persistent_context(
                str(self.profile), executable_path=find(), args=["--no-sandbox"], **held
            )
        self.context.set_offline(offline)
        if client is not None:
            self.sign_in(client)
        page = self.context.pages[0] if self.context.pages else self.context.new_page()
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        return page

    def sign_in(self, client: Client) -> None:
        """The session of this client's person, as after the sign-in page."""
        assert self.context is not None
        # A cookie without an end would go with the browser; a session of two weeks does not.
        end = time.time() + 14 * 24 * 3600
        self.context.add_cookies(
            [
                {"name": name, "value": morsel.value, "url": self.address, "expires": end}
                for name, morsel in client.cookies.items()
            ]
        )

    def kill(self) -> None:
        """End every process of this profile at once, with no chance to write anything more."""
        assert self.browser is None, "other tests use this browser too"
        for pid in self._pids():
            os.kill(pid, signal.SIGKILL)
        assert self.context is not None
        with suppress(Exception):  # the browser is dead: there is nothing to close
            self.context.close()
        self.context = None
        for name in ("SingletonLock", "SingletonSocket", "SingletonCookie"):
            (self.profile / name).unlink(missing_ok=True)

    def _pids(self) -> list[int]:
        found = subprocess.run(
            ["pgrep", "-f", "--", f"--user-data-dir={self.profile}"],
            capture_output=True, text=True, check=False,
        )  # fmt: skip
        return [int(one) for one in found.stdout.split()]

    def close(self) -> None:
        if self.context is not None:
            self.context.close()
            self.context = None


@contextmanager
def phone_of(
    driver: Playwright, profile: Path, address: str, browser: Browser | None = None
) -> Iterator[Phone]:
    """A phone that is put away at the end, and whose page must not have raised anything."""
    made = Phone(driver, profile, address, browser)
    try:
        yield made
        assert made.complaints == []
    finally:
        made.close()


def ready(page: Page) -> Page:
    """Wait until the worker keeps the page and the bundle is carried."""
    page.wait_for_selector(".sets li", timeout=15_000)
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    return page


def hold(page: Page) -> None:
    """The usual answer: press and hold."""
    page.locator("#usual").hover()
    page.mouse.down()
    page.locator(".sets").wait_for(timeout=5_000)
    page.mouse.up()
