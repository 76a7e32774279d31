"""The yield page over very many checks: cold, from what is kept, and as they grow.

LINEWARD_BENCH_CHECKS says how many: 1,000,000 unless it is set; the bound is meant for 5,000,000,
which take some gigabytes and a good while to lay. The bound is the plainest statement that gives
the page's sums from the record alone; the page gives rates with limits beside them.
"""

import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import partial
from typing import Any

import numpy as np
import pytest
from django.db import connection
from django.test import Client

from tests.bench.measure import bound_sql, median_s, tell
from tests.bench.stand import lay
from tests.conftest import owner_connection
from tests.pages.cast import client_of
from tests.trials.seasons import Plan, season
from tests.world import World
from trapline.calc.rates import target_rate
from trapline.ground.scope import team_scope
from trapline.lines.models import Line
from trapline.people.change import count_change
from trapline.reports.grouped import reckon_ahead
from trapline.standing.fold import fold
from trapline.standing.models import SetState, Tally
from trapline.watch.tallying import tally_team

CHECKS = int(os.environ.get("LINEWARD_BENCH_CHECKS", "1000000"))
LINES = 20
PLACED = datetime(2018, 7, 1, 18, tzinfo=UTC)
LIMIT_S = 0.1
pytestmark = [pytest.mark.bench, pytest.mark.django_db(transaction=True)]


def lay_checks(checks: int, into: World | None = None, there: int = 0) -> World:
    """Sets on 20 lines, up to 2,500 nightly checks a set, laid by SQL and folded by the fold.

    into: a world in which `there` of the checks stand already; the others are laid beside them.
    """
    each = max(min(2500, CHECKS // 100), 1)
    world, ids, _ = lay((checks - there) // each, PLACED, into=into, after=there // each)
    with team_scope(world.team):
        lines = list(Line.objects.order_by("id"))
        lines += [
            Line.objects.create(team_id=world.team, name=f"line {n}", tz=lines[0].tz, travel="foot")
            for n in range(len(lines), LINES)
        ]
        with owner_connection() as owner:  # a set keeps its line for life: the program may not
            for number, line in enumerate(lines):
                mine = ids[number::LINES]
                for table, key in (("lines_set", "id"), ("standing_setstate", "set_id")):
                    owner.execute(
                        f"UPDATE {table} SET line_id = %s WHERE {key} = ANY (%s)",
                        [line.id, mine],
                    )
        with unwalled("lines_check", "lines_catch", "standing_interval"):
            with connection.cursor() as cursor:
                cursor.execute(
                    bound_sql("lay_checks"),
                    {
                        "team": world.team, "each": each, "who": world.student.member,
                        "placed": PLACED, "species": world.species["marten"], "sets": ids,
                        "licence": world.licence,
                    },
                )  # fmt: skip
            with owner_connection() as owner:
                owner.execute("ANALYZE lines_check, lines_catch")
            for start in range(0, len(ids), 200):
                fold(world.team, ids[start : start + 200])
    with owner_connection() as owner:
        owner.execute("ANALYZE")
    return world


WALLS = """
SELECT conrelid::regclass::text, conname, pg_get_constraintdef(oid) FROM pg_constraint
WHERE contype = 'f' AND conrelid = ANY (%s::regclass[])
"""


@contextmanager
def unwalled(*tables: str) -> Iterator[None]:
    """Without the tables' foreign keys, which are put back and looked through as a whole.

    Row by row they take over half of the laying.
    """
    with owner_connection() as owner:
        walls = owner.execute(WALLS, [list(tables)]).fetchall()
        for table, name, _ in walls:
            owner.execute(f"ALTER TABLE {table} DROP CONSTRAINT {name}")
    try:
        yield
    finally:
        with owner_connection() as owner:
            for table, name, said in walls:
                owner.execute(f"ALTER TABLE {table} ADD CONSTRAINT {name} {said}")


def uncount(world: World) -> None:
    """As if nothing had been counted and reckoned yet."""
    with owner_connection() as owner:
        owner.execute("TRUNCATE standing_tally, reports_reckoned")
        owner.execute(
            "UPDATE standing_setstate SET untallied_from = '2018-01-01', tallied = NULL"
            " WHERE team_id = %s",
            [world.team],
        )
        owner.execute("ANALYZE standing_tally, standing_setstate")


def spent(job: Callable[[], Any]) -> float:
    began = time.perf_counter()
    job()
    return time.perf_counter() - began


def bare(world: World) -> float:
    with connection.cursor() as cursor:
        return spent(lambda: cursor.execute(bound_sql("yield_by_line"), {"team": world.team}))


def page(browser: Client, world: World, by: str = "line") -> float:
    def ask() -> None:
        answer = browser.get(f"/t/{world.slug}/reports/yields/by/{by}/")
        assert answer.status_code == 200

    return spent(ask)


def cold_page(browser: Client, world: World) -> float:
    """The page where nothing has been reckoned."""
    with owner_connection() as owner:
        owner.execute("TRUNCATE reports_reckoned")
    return page(browser, world)


def test_the_yield_page_cold_and_from_what_is_kept(transactional_db: None, capsys: Any) -> None:
    cold: dict[int, float] = {}
    world, there = None, 0
    for checks in (CHECKS // 2, CHECKS):
        began = time.perf_counter()
        world = lay_checks(checks, world, there)
        uncount(world)
        there = checks
        laid = time.perf_counter() - began
        browser = client_of(world.manager)
        page(browser, world, "month")  # the program's own first time
        cold[checks] = min(cold_page(browser, world) for _ in range(2))
        bound = min(bare(world) for _ in range(2))
        with team_scope(world.team):
            assert not Tally.objects.exists()
            tallied = spent(partial(tally_team, world.team))
            rows = Tally.objects.count()
            changed(world)
            ahead = spent(partial(reckon_ahead, world.team, PLACED))
        with owner_connection() as owner:
            owner.execute("ANALYZE standing_tally, standing_setstate")
        page(browser, world, "month")
        # The least of some: whatever else the machine does only adds to it.
        kept = min(page(browser, world) for _ in range(9))
        summed = []
        for _ in range(5):
            changed(world)
            summed.append(page(browser, world))
        empty = min(spent(partial(browser.get, f"/t/{world.slug}/cautions/")) for _ in range(5))
        with team_scope(world.team):
            set_id = SetState.objects.values_list("set_id", flat=True)[0]
            fold(world.team, [set_id], since=datetime(2100, 1, 1, tzinfo=UTC))
        changed(world)
        touched = page(browser, world)
        tell(
            capsys,
            f"yield by line, {checks:,} checks, {rows:,} tallies, laid in {laid:.0f} s: cold"
            f" {cold[checks]:.2f} s, bare SQL {bound:.2f} s, ratio {cold[checks] / bound:.2f} (at"
            " most 1.5 at full size)",
            f"  the worker's counting {tallied:.1f} s, its figures {ahead:.1f} s; then a page"
            f" {kept * 1000:.0f} ms (at most 100), after an act elsewhere {min(summed) * 1000:.0f}"
            f" ms, after a check that nobody counted {touched * 1000:.0f} ms; a page without"
            f" figures {empty * 1000:.0f} ms",
        )
        # Of fewer checks the rates' own time, which does not grow with them, is the larger part.
        assert cold[checks] <= 1.5 * bound or checks < 2_000_000
        assert kept <= LIMIT_S
        assert min(summed) <= LIMIT_S or checks < 500_000
    growth = cold[CHECKS] / cold[CHECKS // 2]
    tell(capsys, f"  twice the checks take {growth:.2f} times as long (at most 2.5: linear)")
    assert growth <= 2.5


def changed(world: World) -> None:
    """Something in the team has changed, so that what was reckoned is looked through."""
    with team_scope(world.team):
        count_change(world.team)


def test_a_seasons_rate_is_fitted_in_half_a_second(capsys: Any) -> None:
    # 60 sets, 3,000 checks; unequal sets and some snow, so that all of the likelihood is worked.
    plan = Plan("bench", 60, 75, 1.5, 0.03, cv=1.0, failing=0.03, dated=0.5)
    data = season(plan, np.random.default_rng(1))
    assert len(data.nights) == 3000 and len(np.unique(data.set_of)) == 60
    # Real checks are never at the same hour: no two lengths are alike.
    nights = data.nights * np.random.default_rng(2).uniform(0.8, 1.2, len(data.nights))
    apart = type(data)(nights, data.outcome, data.served * nights / data.nights, data.set_of)
    took = median_s(lambda: target_rate(apart), lambda: None)
    assert target_rate(apart).method == "profile"
    tell(capsys, f"a season's fit, 60 sets and 3,000 checks: {took * 1000:.0f} ms (at most 500)")
    assert took <= 0.5
