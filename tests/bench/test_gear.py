"""The replay of 1,000,000 gear events, and life fits for 200 kinds of part, beside their bounds."""

import os
from typing import Any

import numpy as np
import pytest
from django.db import connection, transaction
from numpy.typing import NDArray
from scipy.stats import CensoredData, weibull_min

from tests.bench.measure import bound_sql, median_s, tell
from tests.conftest import owner_connection
from tests.record.phone import AT, HOUR
from tests.world import START, make_world
from trapline.calc.wear.exposure import Lives, lives
from trapline.calc.wear.weibull import fit
from trapline.gear.models import Part, PartFact
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.standing.fold import fold_parts
from trapline.standing.models import PartStay, SetState
from trapline.standing.wear import part_wear

EVENTS = int(os.environ.get("BENCH_GEAR", "1000000"))
KINDS, PARTS, FEW = 200, 100, 10
pytestmark = [pytest.mark.bench]


@pytest.mark.django_db(transaction=True)
def test_replay_of_gear_events_against_its_bound(capsys: Any) -> None:
    world = make_world("bench")
    set_id = world.set("B1", "body")
    world.check(world.student, set_id, START + 9 * HOUR, found="sprung_empty", done=["remade"])
    with team_scope(world.team), connection.cursor() as cursor:
        values = {
            "team": world.team, "act": Act.objects.values_list("id", flat=True)[0], "at": START,
            "parts": EVENTS // 10,
            "device": SetState.objects.get().device_id,
        }  # fmt: skip
        cursor.execute(bound_sql("lay_gear"), values)
        parts = list(Part.objects.values_list("id", flat=True))

        def bare() -> None:
            with transaction.atomic():
                cursor.execute(bound_sql("part_stays"), values)

        ours = median_s(lambda: fold_parts(world.team, parts), lambda: None, runs=1)
        with owner_connection() as owner:
            walled = _walled(owner, values)
            owner.execute("ANALYZE")  # as a server does by itself
        bound = median_s(bare, lambda: None)
        again = median_s(lambda: fold_parts(world.team, parts), lambda: None, runs=1)
        wear = median_s(lambda: part_wear(world.team, AT), lambda: None, runs=1)
        assert PartStay.objects.count() == PartFact.objects.count() >= EVENTS
        served = sum(one.springings for one in part_wear(world.team, AT))
        assert served == EVENTS // 10 + 3  # one of their stays held the look; and the first three
    tell(
        capsys,
        f"replay of {EVENTS:,} gear events from nothing: {ours:.1f} s, bound {walled:.1f} s,"
        f" ratio {ours / walled:.1f} (the bound: one bare statement into a table with the same keys"
        " and constraints)",
        f"  beside {bound:.1f} s for the bare order of events without constraint and index:"
        f" ratio {ours / bound:.1f}",
        f"replay of them where all stands: {again:.1f} s, ratio {again / bound:.1f} to that order",
        f"wear of {len(parts):,} parts from them: {wear:.1f} s",
    )


def _walled(owner: Any, values: dict[str, Any]) -> float:
    """Seconds to write the same rows, by bare SQL, under the same keys and constraints.

    That no part is in two places is what the constraints are for: no replay may do without.
    """
    owner.execute("CREATE TABLE bench_walled (LIKE standing_partstay INCLUDING ALL)")
    for column, table in (("part_id", "gear_part"), ("device_id", "gear_device")):
        owner.execute(
            f"ALTER TABLE bench_walled ADD FOREIGN KEY (team_id, {column})"
            f" REFERENCES {table} (team_id, id)"
        )
    try:
        return median_s(
            lambda: owner.execute(bound_sql("same_walls"), values), lambda: None, runs=1
        )
    finally:
        owner.execute("DROP TABLE bench_walled")


def samples() -> list[Lives]:
    rng = np.random.default_rng(5)
    made = []
    for number in range(KINDS):
        life = rng.weibull(1 + number % 5 / 2, PARTS) * 200
        made.append(lives(np.minimum(life, 150), life <= 150))
    return made


def newton(x: NDArray[np.float64], failed: NDArray[np.bool_]) -> float:
    """The bound: the shape alone, by Newton's steps in bare numpy, no limits."""
    k, mean = 1.0, x[failed].mean()
    for _ in range(30):
        w = np.exp(k * x)
        a, b, c = w.sum(), (w * x).sum(), (w * x * x).sum()
        step = (1 / k + mean - b / a) / (1 / k**2 + c / a - (b / a) ** 2)
        k += step
        if abs(step) < 1e-12:
            break
    return float(k)


def test_life_fits_against_a_bare_search(capsys: Any) -> None:
    made = samples()
    found = [fit(one) for one in made]
    bare = [newton(np.log(one.served / one.served.max()), one.failed) for one in made]
    for ours, theirs in zip(found, bare, strict=True):
        assert ours is not None
        assert ours.shape == pytest.approx(theirs, rel=1e-8)
    with_limits = median_s(lambda: [fit(one) for one in made], lambda: None)
    bound = median_s(
        lambda: [newton(np.log(one.served / one.served.max()), one.failed) for one in made],
        lambda: None,
    )
    general = median_s(lambda: [_general(one) for one in made[:FEW]], lambda: None, runs=1)
    general *= KINDS / FEW
    tell(
        capsys,
        f"life fits with limits for {KINDS} kinds of {PARTS} parts: {with_limits:.2f} s,"
        f" the bare best alone in numpy {bound:.2f} s, ratio {with_limits / bound:.1f}",
        f"  scipy's general censored fit, the best alone, {general:.1f} s (of {FEW} kinds, times"
        f" {KINDS // FEW}): ratio {with_limits / general:.3f}",
    )


def _general(one: Lives) -> tuple[float, ...]:
    censored = CensoredData(uncensored=one.served[one.failed], right=one.served[~one.failed])
    found: tuple[float, ...] = weibull_min.fit(censored, floc=0)
    return found
