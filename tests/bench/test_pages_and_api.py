"""A check through the API against a bare view, and *today* against an empty page."""

import statistics
import time
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from tests.api.caller import caller_of
from tests.bench.measure import tell
from tests.bench.stand import lay
from tests.world import START, World, world_of
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.people.models import Person

CHECKS = 150
pytestmark = [pytest.mark.bench, pytest.mark.django_db(transaction=True)]


@pytest.fixture(autouse=True)
def _with_bare_views(settings: Any) -> None:
    settings.ROOT_URLCONF = "tests.bench.bare"


def _spent(jobs: list[Callable[[], Any]]) -> list[float]:
    spent = []
    for job in jobs:
        began = time.perf_counter()
        assert job().status_code in (200, 201)
        spent.append(time.perf_counter() - began)
    return spent


def test_a_check_through_the_api_against_a_bare_view(transactional_db: None, capsys: Any) -> None:
    world = world_of("north")
    ours, theirs = world.set("S1"), world.set("S2")
    call = caller_of(world.student)
    with team_scope(world.team):
        act = Act.objects.values_list("id", flat=True)[0]

    def check(number: int) -> Any:
        at = START + timedelta(minutes=number)
        body = {"check": new_id(), "set": ours, "found": "in_order", "done": ["left"], "at": at}
        return call("POST", "./checks/", body)

    def bare(number: int) -> Any:
        body = {
            "check": new_id(), "set": theirs, "team": world.team, "act": act,
            "at": START + timedelta(minutes=number), "by": world.student.member,
        }  # fmt: skip
        return call("POST", "/bare/check/", body)

    for number in range(1, 11):  # warm
        assert check(number).status_code == 201, check(number).content
        bare(number)
    numbers = range(11, 11 + CHECKS)
    # In turns, so that whatever else the machine does falls on both.
    spent = _spent([job for n in numbers for job in (lambda n=n: check(n), lambda n=n: bare(n))])
    ours_s, bare_s = sum(spent[0::2]), sum(spent[1::2])
    tell(
        capsys,
        f"checks through the API: {CHECKS / ours_s:.0f} a second, bare view"
        f" {CHECKS / bare_s:.0f}, ratio {bare_s / ours_s:.2f} (at least 0.30)",
    )
    assert bare_s / ours_s >= 0.30


def test_today_with_5000_active_sets_against_an_empty_page(
    transactional_db: None, capsys: Any
) -> None:
    world, _, _ = lay(5000)
    browser = _signed_in(world)
    page, empty = f"/t/{world.slug}/", "/bare/empty/"
    for _ in range(3):
        browser.get(page)
        browser.get(empty)
    spent = _spent(
        [job for _ in range(40) for job in (lambda: browser.get(page), lambda: browser.get(empty))]
    )
    today, base = (_p95(spent[start::2]) for start in (0, 1))
    tell(
        capsys,
        f"today with 5,000 active sets: p95 {today * 1000:.0f} ms, empty page"
        f" {base * 1000:.0f} ms, ratio {today / base:.1f} (at most 6)",
    )
    assert today / base <= 6


def _signed_in(world: World) -> Client:
    browser = Client()
    browser.force_login(
        Person.objects.get(id=world.manager.person or world.team),
        backend="django.contrib.auth.backends.ModelBackend",
    )
    return browser


def _p95(spent: list[float]) -> float:
    return statistics.quantiles(spent, n=20)[-1]
