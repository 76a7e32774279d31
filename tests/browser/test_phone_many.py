"""A queue of many acts: how long it takes to go out, and whether the screen answers meanwhile.

Short form in the suite; the long one, 2,000 acts, by `make test ARGS="-m long -k many -s"`. Goals
(issue): 20 s on loopback, 12 ms of server time an act, no task of the page over 200 ms. The server
is the live server of the tests, a thread of this process beside the one that watches.
"""

import os
import time
from datetime import timedelta

import pytest

from tests.browser.phone import ROUND, Phone, ready
from tests.pages.cast import client_of
from tests.world import World
from trapline.ground import clock
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.lines.models import Check

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# So many checks in the queue, a second apart, the last just now; written as the app writes them.
FILL = """async ([count, sets]) => {
  const db = await new Promise((done) => {
    indexedDB.open("lineward").onsuccess = ({ target }) => done(target.result); });
  const get = (name, key) => new Promise((done) => {
    db.transaction(name).objectStore(name).get(key).onsuccess = (e) => done(e.target.result); });
  const { value: { person, team } } = await get("meta", "current");
  const { data } = await get("bundles", [person, team]);
  const at = db.transaction("acts", "readwrite");
  const now = Date.now();
  for (let n = 0; n < count; n += 1) {
    const made = now - (count - n) * 1000;
    const set = data.sets.find((one) => one.id === sets[n % sets.length]);
    const id = crypto.randomUUID();
    const body = { check: crypto.randomUUID(), set: set.id, found: "in_order", done: ["left"],
                   how_seen: "at_set" };
    const text = JSON.stringify({ id, kind: "log_check", version: 1, team,
      wall_at: new Date(made).toISOString(), mono_s: n, session: "s", fix_at: null, needs: [],
      acted_by: data.person.member, body });
    at.objectStore("acts").add({ id, person, team, kind: "log_check", made_at: made,
      bytes: new TextEncoder().encode(text).buffer, state: "kept", offered: false, faults: 0,
      problems: [], settled_at: null,
      told: { set: set.id, label: set.label, found: "in_order", check: body.check, by: "Signe" } });
  }
  await new Promise((done) => { at.oncomplete = done; });
  db.close();
}"""
WATCH = """() => { window.tasks = []; window.posts = [];
  const watch = (type, take) => new PerformanceObserver((list) => list.getEntries().forEach(take))
    .observe({ type });
  watch("longtask", ({ duration }) => window.tasks.push(duration));
  watch("resource", ({ name, requestStart, responseStart }) => {
    if (name.endsWith("/api/v1/sync/")) window.posts.push(responseStart - requestStart); });
}"""


@pytest.mark.parametrize("count", [30, pytest.param(2000, marks=pytest.mark.long)])
def test_many_acts_go_out_in_order_while_the_screen_answers(
    north: World, phone: Phone, capsys: pytest.CaptureFixture[str], count: int
) -> None:
    at = clock.now() - timedelta(days=1)
    sets = [str(north.set(f"A-{number}", at=at)) for number in range(20)]
    page = phone.start(client=client_of(north.student))
    page.goto(phone.address + ROUND)
    ready(page)
    page.evaluate(FILL, [count, sets])
    assert phone.context is not None
    page.route("**/api/v1/sync/", lambda route: route.abort())
    page.reload()
    page.goto(phone.address + ROUND + "#kept")
    page.get_by_text(f"{count} kept, not sent").first.wait_for()
    page.wait_for_timeout(500)
    page.unroute("**/api/v1/sync/")
    page.evaluate(WATCH)
    began = time.monotonic()
    page.get_by_role("button", name="Send now").click()
    page.wait_for_function(
        "() => document.getElementById('standing').textContent.startsWith('All sent')",
        timeout=300_000, polling=100,
    )  # fmt: skip
    took = time.monotonic() - began
    page.wait_for_timeout(300)
    tasks, posts = page.evaluate("[window.tasks, window.posts]")
    with team_scope(north.team):
        states = set(Act.objects.filter(kind="log_check").values_list("state", flat=True))
        assert Check.objects.count() == count
    assert states == {"applied"}
    with capsys.disabled():
        print(f"\n{count} acts: {took:.1f} s (goal 20 for 2,000), {sum(posts) / count:.1f} ms of "  # noqa: T201
              f"server an act in {len(posts)} batches (goal 12), longest task "
              f"{max(tasks, default=0):.0f} ms (goal 200; load {os.getloadavg()[0]:.1f} on "
              f"{os.cpu_count()} cores)")  # fmt: skip
    assert len(posts) >= -(-count // 100)
