"""A findings sweep of 100,000 sets among 20,000 features, against its own spatial joins alone."""

import os
from datetime import timedelta
from functools import partial
from typing import Any
from uuid import UUID

import pytest
from django.db import connection

from tests.bench.measure import bound_sql, median_s, plan_of, tell
from tests.bench.stand import lay
from tests.conftest import owner_connection
from tests.findings.scene import rule, sign_off
from tests.world import RULEBOOK, START, World
from trapline.findings.models import Finding, Look
from trapline.ground.scope import team_scope
from trapline.record.desk import submit
from trapline.watch.look import BATCH, look_team

SETS = int(os.environ.get("BENCH_SETS", "100000"))
FEATURES = int(os.environ.get("BENCH_FEATURES", "20000"))  # the same at every size
MOMENT = START + timedelta(hours=1)
REACH_M = 200.0
pytestmark = [pytest.mark.bench, pytest.mark.django_db(transaction=True)]

# Features scattered over the sets' country; parcels in a grid that covers most of it.
LAND = """
WITH features AS (
    INSERT INTO land_feature (id, team_id, kind, name, shape, source)
    SELECT uuid7(), %(team)s, (ARRAY['trail', 'road', 'dwelling', 'water', 'boundary'])[1 + n %% 5],
           '', (CASE n %% 5
               WHEN 2 THEN ST_SetSRID(ST_MakePoint(x, y), 4326)
               WHEN 3 THEN ST_SetSRID(ST_MakeEnvelope(x, y, x + 0.001, y + 0.0005), 4326)
               ELSE ST_SetSRID(ST_MakeLine(ARRAY[ST_MakePoint(x, y), ST_MakePoint(x + 0.001, y),
                   ST_MakePoint(x + 0.001, y + 0.0008), ST_MakePoint(x + 0.002, y + 0.0008)]), 4326)
           END)::geography, ''
    FROM (SELECT n, -128.55 + 0.3 * random() AS x, 61.82 + 0.16 * random() AS y
          FROM generate_series(1, %(features)s) n) p
    RETURNING 1
)
INSERT INTO land_permission
    (id, team_id, parcel, name, holder, contact, valid_from, valid_until, conditions, reference,
     members)
SELECT uuid7(), %(team)s,
       ST_Multi(ST_MakeEnvelope(-128.56 + 0.016 * i, 61.81 + 0.009 * j, -128.544 + 0.016 * i,
                                61.819 + 0.009 * j, 4326))::geography,
       i || ' ' || j, 'holder', '', '2025-07-01', '2026-06-30', '', '', '{}'
FROM generate_series(0, 19) i, generate_series(0, 19) j
WHERE (i + j) %% 10 <> 0 AND (SELECT count(*) FROM features) > 0
"""


def _stand(sets: int) -> tuple[World, list[UUID]]:
    world, ids, _ = lay(sets)
    sign_off(world, "snare", START - timedelta(days=10))
    setbacks = [
        rule(f"far-{kind}", "setback", "from_feature", {"feature": kind, "at_least_m": far})
        for kind, far in (("trail", 15.0), ("road", 50.0), ("dwelling", REACH_M), ("water", 5.0),
                          ("boundary", 10.0))
    ]  # fmt: skip
    book = {**RULEBOOK, "rules": [*RULEBOOK["rules"], *setbacks]}
    submit(world.manager, "take_rulebook", {"document": book}, at=START, now=START)
    with connection.cursor() as cursor:
        cursor.execute(LAND, {"team": world.team, "features": FEATURES})
        cursor.execute(
            "INSERT INTO findings_look (id, team_id, set_id, stamp, looked_at, next_at)"
            " SELECT set_id, team_id, set_id, 0, placed_at, placed_at FROM standing_setstate"
            " ON CONFLICT (id) DO UPDATE SET next_at = excluded.next_at"
        )
    if not connection.in_atomic_block:
        with owner_connection() as owner:
            owner.execute("ANALYZE")
    return world, ids


def _measure(capsys: Any, sets: int) -> tuple[float, float]:
    world, ids = _stand(sets)
    with connection.cursor() as cursor:
        cursor.execute("SET jit = off")

    def values(some: list[UUID]) -> dict[str, Any]:
        return {"team": world.team, "reach": REACH_M, "sets": some}

    def bare(batch: int) -> None:
        with connection.cursor() as cursor:
            for start in range(0, len(ids), batch):
                cursor.execute(bound_sql("near"), values(ids[start : start + batch]))
                cursor.fetchall()

    def again() -> None:
        with team_scope(world.team):
            Look.objects.update(next_at=START)

    # The first opens what there is; then it is kept in line.
    first_s = median_s(lambda: look_team(world.team, MOMENT), lambda: None, runs=1)
    for some in (ids[:BATCH], ids):
        _by_index(plan_of(bound_sql("near"), values(some)))
    # The bound is the faster of both forms: as the sweep's batches, and all sets in one statement.
    bound_s = min(median_s(partial(bare, size), lambda: None, runs=1) for size in (BATCH, len(ids)))
    ours_s = median_s(lambda: look_team(world.team, MOMENT), again, runs=1)
    with team_scope(world.team):
        found = Finding.objects.filter(closed_at=None).count()
    tell(
        capsys,
        f"findings sweep of {sets:,} sets, {FEATURES:,} features, {found:,} findings:"
        f" {ours_s:.2f} s, bare joins {bound_s:.2f} s, ratio {ours_s / bound_s:.2f} (at most 3);"
        f" the first, which opens them: {first_s:.2f} s",
    )
    with owner_connection() as owner:
        tables = owner.execute(
            "SELECT string_agg(quote_ident(tablename), ', ') FROM pg_tables WHERE"
            " schemaname = 'public' AND tablename <> ALL (%s)",
            [["django_migrations", "spatial_ref_sys", "django_content_type", "auth_permission"]],
        ).fetchone()
        assert tables is not None
        owner.execute(f"TRUNCATE {tables[0]} CASCADE")
    return ours_s, bound_s


def _by_index(plan: str) -> None:
    """The bound's joins run by the spatial indexes: neither table is read whole for each set."""
    for table in ("land_feature", "land_permission"):
        assert f"Seq Scan on {table}" not in plan, plan
        assert f"on {table}" in plan, plan


def test_a_findings_sweep_against_its_spatial_joins_and_its_growth(capsys: Any) -> None:
    small_s, _ = _measure(capsys, SETS // 10)
    ours_s, bound_s = _measure(capsys, SETS)
    growth = ours_s / small_s
    tell(capsys, f"growth from {SETS // 10:,} to {SETS:,} sets: {growth:.1f} x (at most 12)")
    assert ours_s / bound_s <= 3
    assert growth <= 12
