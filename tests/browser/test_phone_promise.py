"""The queue's promise, looked at after every event: also with refusals, faults and second tries.

Hypothesis makes the events; the phone's own scripts carry them out in a real Chromium with its
real IndexedDB. The server is a model of eight lines that keeps what it is given, or does not; some
batches are answered before one is lost, since the next is made ready while one is on its way.
"""

from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from playwright.sync_api import Browser, Page

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PEOPLE = ("signe", "ivar")
# What the server says of an act it has not seen. `refused` and `fault` keep nothing.
SAID = ("applied", "held", "needs_review", "refused", "fault")
# What becomes of a batch on its way: not sent, lost going, lost coming back, answered, answered
# twice, answered after the phone was killed (so that nobody hears it).
WAYS = ("offline", "lost_going", "lost_coming", "answered", "twice", "killed")

EVENTS = st.one_of(
    st.tuples(st.just("log"), st.sampled_from(PEOPLE)),
    st.tuples(st.just("undo"), st.integers(0, 9)),
    st.tuples(st.just("wait"), st.integers(1, 15)),
    st.tuples(
        st.just("send"), st.sampled_from(PEOPLE), st.sampled_from(WAYS), st.integers(0, 2),
        st.lists(st.sampled_from(SAID), min_size=1, max_size=4), st.integers(1, 4), st.booleans(),
    ),
    st.tuples(st.just("kill")),
    st.tuples(st.just("again"), st.integers(0, 9)),
    st.tuples(st.just("tidy")),
    st.tuples(st.just("race"), st.integers(0, 9), st.sampled_from(PEOPLE)),
)  # fmt: skip

RUN = (Path(__file__).parent / "phone_promise.js").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def workshop(chromium: Browser, live_server: Any) -> Any:
    """A page of the site in which its scripts can be imported."""
    context = chromium.new_context()
    page = context.new_page()
    page.goto(f"{live_server.url}/phone/")
    yield page
    context.close()


@pytest.mark.parametrize("examples", [20, pytest.param(600, marks=pytest.mark.long)])
def test_whatever_happens_an_act_is_on_the_phone_or_at_the_server_once_and_as_it_was_made(
    workshop: Page, examples: int
) -> None:
    @settings(
        max_examples=examples, deadline=None, derandomize=True, database=None,
        suppress_health_check=[HealthCheck.too_slow],
    )  # fmt: skip
    @given(events=st.lists(EVENTS, min_size=3, max_size=25))
    def kept(events: list[tuple[Any, ...]]) -> None:
        assert_kept(workshop, events)

    kept()


def assert_kept(workshop: Page, events: list[tuple[Any, ...]]) -> None:
    told = workshop.evaluate(RUN, events)
    for seen in told["trace"]:
        phone = {name: (state, raw) for name, _, state, raw in seen["phone"]}
        server = dict(seen["server"])
        for name, _person, made in seen["logged"]:
            here = phone.get(name, ("", None))[1]
            if name in seen["undone"]:
                assert name not in phone and name not in server
                continue
            assert made in (here, server.get(name)), f"{name} is nowhere"
            assert here in (None, made)
            assert server.get(name) in (None, made)
    undone, logged = set(told["trace"][-1]["undone"]), told["trace"][-1]["logged"]
    assert_the_end(told, undone, logged)


def assert_the_end(told: dict[str, Any], undone: set[str], logged: list[list[str]]) -> None:
    """Each act at the server or refused; under its own person; in the order of logging."""
    last = told["trace"][-1]
    server = dict(last["server"])
    refused = {name for name, _, state, raw in last["phone"] if state == "refused" and raw}
    assert {name for name, *_ in logged} == undone | set(server) | refused
    assert refused.isdisjoint(server)
    owner = {name: person for name, person, _ in logged}
    assert [name for person, name, _ in told["came"] if owner[name] != person] == []
    for whose in PEOPLE:
        first: list[int] = []
        for person, name, _ in told["came"]:
            number = int(name.removeprefix("act-"))
            if person == whose and number not in first:
                first.append(number)
        assert first == sorted(first), "an act overtook another"


@pytest.mark.parametrize("broken", ["forgets", "overtakes"])
def test_the_property_finds_a_queue_that_is_broken(workshop: Page, broken: str) -> None:
    """The same check on a trace that was spoiled: it must not pass."""
    events: list[Any] = [["log", "signe"], ["log", "signe"], ["wait", 11]]
    told = workshop.evaluate(RUN, events)
    if broken == "forgets":
        told["trace"][-1]["server"] = []
    else:
        told["came"].reverse()
    with pytest.raises(AssertionError):
        assert_the_end(told, set(), told["trace"][-1]["logged"])
