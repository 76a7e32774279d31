"""The sweep and the re-due over 100,000 active sets."""

import os
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from tests.bench.measure import bound_sql, median_s, plan_of, tell
from tests.bench.stand import lay
from tests.world import START
from trapline.duties.models import Duty, Notice
from trapline.ground import sql
from trapline.ground.scope import team_scope
from trapline.people.change import raise_rule_stamp
from trapline.watch.redue import redue_team
from trapline.watch.sweep import BATCH, sweep, sweep_batch

SETS = int(os.environ.get("BENCH_SETS", "100000"))
MOMENT = START + timedelta(minutes=30)  # 4 % fell due, nobody else for a day
pytestmark = [pytest.mark.bench, pytest.mark.django_db(transaction=True)]


def test_sweep_and_redue_against_their_bounds(capsys: Any) -> None:
    world, _, folded = lay(SETS)
    tell(capsys, f"fold of {SETS:,} sets from their facts: {folded:.1f} s")
    values: dict[str, Any] = {"team": world.team, "moment": MOMENT, "batch": BATCH}
    claims = {"the sweep": sql.text("trapline.watch", "claim"), "the bound": bound_sql("claim")}
    for whose, text in claims.items():
        assert "duties_duty_next" in plan_of(text, values), f"{whose} does not use its index"

    def bare() -> None:
        """The same batches, the same inputs read, the same rows written, nothing decided."""
        with connection.cursor() as cursor:
            while True:
                with transaction.atomic():
                    cursor.execute(bound_sql("claim"), values)
                    rows = cursor.fetchall()
                    if not rows:
                        return
                    sets, duties = [row[1] for row in rows], [row[0] for row in rows]
                    cursor.execute(bound_sql("inputs"), {**values, "sets": sets})
                    cursor.fetchall()
                    cursor.execute(bound_sql("write"), {**values, "duties": duties})

    def again() -> None:
        with connection.cursor() as cursor:
            cursor.execute(bound_sql("again"), values)

    bound_s = median_s(bare, again)
    ours_s = median_s(lambda: sweep(MOMENT), again)
    with team_scope(world.team):
        assert Duty.objects.filter(state="overdue").count() == SETS // 25
        assert Notice.objects.count() == SETS // 25
    tell(
        capsys,
        f"sweep over {SETS:,} active sets, {SETS // 25:,} newly overdue: {ours_s:.2f} s,"
        f" bare SQL {bound_s:.2f} s, ratio {ours_s / bound_s:.2f} (at most 3)",
    )
    again()
    with CaptureQueriesContext(connection) as seen:
        sweep_batch(world.team, MOMENT)
    said = [q for q in seen if not q["sql"].startswith(("BEGIN", "COMMIT"))]
    tell(capsys, f"statements in a batch of {BATCH}: {len(said)} (claim, bind, advance, count)")
    assert len(said) == 4
    sweep(MOMENT)

    raise_rule_stamp(world.team)
    redue_s = median_s(
        lambda: redue_team(world.team, MOMENT), lambda: raise_rule_stamp(world.team), runs=1
    )
    tell(capsys, f"re-due of {SETS:,} sets after a rule change: {redue_s:.1f} s (under 20)")
    assert ours_s / bound_s <= 3
    assert redue_s < 20 * max(1, SETS / 100_000)
