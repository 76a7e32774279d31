"""A whole round against everything that can go wrong at once, and the faults one by one.

The short form of the round is in the suite; the long one has the numbers that were promised.
"""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.conf import settings
from django.db import connection
from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import Page, expect

from tests.browser.phone import ROUND, Phone, hold, ready
from tests.browser.test_phone_photos import (
    at_the_server,
    back_in_signal,
    on_the_phone,
    out_of_signal,
)
from tests.pages.cast import client_of
from tests.record.pictures import a_jpeg
from tests.world import World
from trapline.ground import clock
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.lines.models import Catch, Check
from trapline.phone import files
from trapline.record.desk import submit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# The acts that the phone still owes, in order: id and text.
OWED = """() => new Promise((done) => {
  const asked = indexedDB.open("lineward");
  asked.onsuccess = () => {
    const all = asked.result.transaction("acts").objectStore("acts").getAll();
    all.onsuccess = () => {
      asked.result.close();
      done(all.result.filter(({ bytes }) => bytes)
        .map(({ id, bytes }) => [id, new TextDecoder().decode(bytes)]));
    };
  };
})"""


class Mortal:
    """A server of its own on the same database, which can be killed in the middle of a batch."""

    def __init__(self) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.address = f"http://localhost:{self.port}"
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        known = connection.settings_dict
        url = f"postgis://{settings.PROGRAM_ROLE}@/{known['HOST']}/{known['NAME']}"
        self.process = subprocess.Popen(
            [sys.executable, "-m", "gunicorn", "trapline.wsgi", "-w", "1", "-b",
             f"127.0.0.1:{self.port}", "--log-level", "error"],
            env={**os.environ, "DATABASE_URL": url}, start_new_session=True,
        )  # fmt: skip

    def wait(self) -> None:
        """Until it answers."""
        for _ in range(200):
            try:
                urllib.request.urlopen(f"{self.address}/healthz", timeout=5)
                return
            except OSError:
                time.sleep(0.1)
        raise AssertionError("the server did not start")

    def kill(self) -> None:
        """As a power cut does it: the master and its worker at once."""
        if self.process is not None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
            self.process = None


@contextmanager
def mortal() -> Iterator[Mortal]:
    made = Mortal()
    made.start()
    try:
        yield made
    finally:
        made.kill()


def stand(world: World, count: int) -> list[Any]:
    book = {"licence": world.licence, "kind": "site_tag", "prefix": "N", "first": 1, "last": 50}
    submit(world.instructor, "issue_numbers", book)
    at = clock.now() - timedelta(days=1)
    return [world.set(f"A-{number:02}", at=at) for number in range(1, count + 1)]


def usual(phone: Phone, page: Page, set_id: Any) -> None:
    page.goto(f"{phone.address}{ROUND}#set/{set_id}")
    hold(page)
    page.wait_for_selector("#toast p")


def other(phone: Phone, page: Page, set_id: Any, found: str, photo: Path | None) -> None:
    """A check that found something else, with a catch where it is an animal."""
    page.goto(f"{phone.address}{ROUND}#check/{set_id}/{found}")
    if found == "animal":
        page.get_by_label("Species").select_option(label="Marten")
        page.get_by_label("On arrival").select_option("dead")
    if photo is not None:
        page.locator("#photos").set_input_files(photo)
        page.get_by_text("Photos ready: 1.").wait_for()
    page.get_by_role("button", name="Keep the check").click()
    page.wait_for_selector("#toast p")


def walk(phone: Phone, page: Page, sets: list[Any], catches: int, photos: list[Path]) -> Page:
    """Log a check at each set without signal; the browser is killed (in the long twice)."""
    third = len(sets) // 3
    deaths = (third, 2 * third) if len(sets) > 6 else (third,)
    for number, set_id in enumerate(sets):
        if number in deaths:
            phone.kill()
            page = phone.start(offline=True)
            page.goto(phone.address + ROUND)
            page.wait_for_selector(".sets li")
        photo = photos[number] if number < len(photos) else None
        if number < catches:
            other(phone, page, set_id, "animal", photo)
        elif photo is not None:
            other(phone, page, set_id, "damaged", photo)
        else:
            usual(phone, page, set_id)
    return page


@pytest.mark.parametrize(
    ("count", "catches", "photographs"),
    [(4, 1, 2), pytest.param(40, 6, 10, marks=pytest.mark.long)],
    ids=["short", "long"],
)
def test_a_round_comes_in_once_in_order_and_byte_for_byte_whatever_fails_on_the_way(
    north: World, frail: Phone, tmp_path: Path, count: int, catches: int, photographs: int
) -> None:
    phone = frail
    sets = stand(north, count)
    pictures = [tmp_path / f"{number}.jpg" for number in range(photographs)]
    for number, path in enumerate(pictures):
        path.write_bytes(a_jpeg(colour=f"#{number:02}4466"))
    with mortal() as server:  # starts beside the walk
        page = walk(phone, out_of_signal(north, phone), sets, catches, pictures)
        made, shots = page.evaluate(OWED), on_the_phone(page)
        assert (len(made), len(shots)) == (count + photographs, photographs)
        server.wait()
        deaths = fail_on_the_way(page, server)
        back_in_signal(north, phone, page)
        send_until_all_is_there(page, server, deaths)
    assert deaths == ["killed", "lost", "answered"], "each fault happened"
    with team_scope(north.team):
        acts = {str(one.id): bytes(one.body).decode() for one in Act.objects.filter(
            id__in=[name for name, _ in made])}  # fmt: skip
        order = list(Check.objects.order_by("at").values_list("set_id", flat=True))
        numbers = list(Catch.objects.order_by("at").values_list("site_tag", flat=True))
    assert acts == dict(made)
    assert order == sets
    assert numbers == [f"N{number}" for number in range(1, catches + 1)]
    assert at_the_server(north) == shots


def fail_on_the_way(page: Page, server: Mortal) -> list[str]:
    """The first sending kills the server in the middle, the second loses its answer."""
    told: list[str] = []

    def pass_on(route: Any) -> None:
        headers = {**route.request.headers, "origin": server.address}
        headers.pop("referer", None)
        killer = None
        if not told:
            told.append("killed")
            group = server.process.pid if server.process else 0
            killer = subprocess.Popen(["sh", "-c", f"sleep 0.15; kill -9 -- -{group}"])
        try:
            answer = route.fetch(url=f"{server.address}/api/v1/sync/", headers=headers)
        except PlaywrightError:
            answer = None  # a dead server answers nothing, also when the page asks by itself
        if killer is not None:
            killer.wait()
        if answer is None or killer is not None:
            route.abort()
        elif told == ["killed"]:
            told.append("lost")
            route.abort()
        else:
            told[2:] = ["answered"]
            route.fulfill(response=answer)

    page.route("**/api/v1/sync/", pass_on)
    return told


def send_until_all_is_there(page: Page, server: Mortal, told: list[str]) -> None:
    """Wait for each failure, then send again: no failure may be silent, none may be the last."""
    page.get_by_text("sent, no answer yet").first.wait_for()
    server.kill()
    server.start()
    server.wait()
    for _ in range(10):
        before = len(told)
        page.get_by_role("button", name="Send now").click()
        for _ in range(100):
            if len(told) > before:
                break
            page.wait_for_timeout(100)
        if told[-1] == "answered":
            break
    expect(page.locator("[data-state=kept]")).to_have_count(0, timeout=20_000)
    expect(page.get_by_text("photos are still to be sent")).to_have_count(0, timeout=20_000)


def test_a_new_version_of_the_app_leaves_a_kept_act_as_it_was_made(
    north: World, phone: Phone, monkeypatch: pytest.MonkeyPatch
) -> None:
    (set_id,) = stand(north, 1)
    page = out_of_signal(north, phone)
    usual(phone, page, set_id)
    ((name, text),) = page.evaluate(OWED)
    monkeypatch.setattr(files, "_digest", lambda texts: "another-version")
    assert phone.context is not None
    page.route("**/api/v1/sync/", lambda route: route.abort())
    phone.context.set_offline(False)
    page.reload()
    page.wait_for_function(
        """async () => {
          await (await navigator.serviceWorker.getRegistration())?.update();
          return (await caches.keys()).join().includes("another-version");
        }"""
    )
    page.reload()
    page.wait_for_selector(".sets li")
    assert page.evaluate(OWED) == [[name, text]]
    page.unroute("**/api/v1/sync/")
    page.goto(phone.address + ROUND + "#kept")
    page.get_by_role("button", name="Send now").click()
    expect(page.locator("[data-state=sent]")).to_have_count(1)
    with team_scope(north.team):
        assert bytes(Act.objects.get(id=UUID(name)).body).decode() == text


def test_a_full_disk_is_said_and_what_was_typed_still_stands(north: World, phone: Phone) -> None:
    (set_id,) = stand(north, 1)
    page = phone.start()
    page.add_init_script(
        "IDBObjectStore.prototype.add = () => { throw new DOMException('', 'QuotaExceededError') }"
    )
    phone.sign_in(client_of(north.student))
    page.goto(phone.address + ROUND)
    ready(page)
    page.goto(f"{phone.address}{ROUND}#check/{set_id}/damaged")
    page.get_by_label("Note").fill("The frame is bent.")
    page.get_by_role("button", name="Keep the check").click()
    page.locator("#notices .notice").filter(has_text="full").wait_for()
    assert page.locator("#toast p").count() == 0
    assert page.get_by_label("Note").input_value() == "The frame is bent."
    assert page.evaluate(OWED) == []
