"""Timing, ratios, plans: each figure beside the bound measured in the same run."""

import statistics
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.db import connection

BOUNDS = Path(__file__).parent / "bounds"


def bound_sql(name: str) -> str:
    """The bound's SQL text."""
    return (BOUNDS / f"{name}.sql").read_text(encoding="utf-8")


def median_s(job: Callable[[], Any], before: Callable[[], Any], runs: int = 3) -> float:
    """The median time of `job` over some runs; `before` each is not counted."""
    spent = []
    for _ in range(runs):
        before()
        began = time.perf_counter()
        job()
        spent.append(time.perf_counter() - began)
    return statistics.median(spent)


def plan_of(sql: str, values: dict[str, Any]) -> str:
    """PostgreSQL's plan for a statement."""
    with connection.cursor() as cursor:
        cursor.execute("EXPLAIN " + sql, values)
        return "\n".join(row[0] for row in cursor.fetchall())


def tell(capsys: Any, *lines: str) -> None:
    """Print figures past pytest's capture."""
    with capsys.disabled():
        for line in lines:
            print(f"  {line}")  # noqa: T201
