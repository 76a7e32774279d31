"""Statements of our own: values by name, plans kept for few and made anew for many."""

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from trapline.ground import sql

pytestmark = pytest.mark.django_db


@pytest.fixture
def mark(monkeypatch: pytest.MonkeyPatch) -> str:
    """A statement of this test alone, known by its mark; it names a value twice."""
    mark = uuid4().hex
    text = f"SELECT %(who)s::text, 7 %% 4, cardinality(%(sets)s::int[]), %(who)s::text || '{mark}'"
    monkeypatch.setattr(sql, "text", lambda package, name: text)
    return mark


def _kept(mark: str) -> int:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM pg_prepared_statements WHERE statement LIKE %s", [f"%{mark}%"]
        )
        return int(cursor.fetchone()[0])


def test_a_value_named_twice_is_sent_once_and_read_twice(mark: str) -> None:
    assert sql.rows("any", "any", {"who": "ana", "sets": [1, 2]}) == [("ana", 3, 2, f"ana{mark}")]


def test_a_value_that_is_not_given_is_refused_by_its_name(mark: str) -> None:
    with pytest.raises(KeyError, match="sets"):
        sql.rows("any", "any", {"who": "ana"})


@pytest.mark.parametrize(("count", "kept"), [(sql.FEW, 1), (sql.FEW + 1, 0)])
def test_a_plan_is_kept_for_few_and_made_for_its_values_for_many(
    mark: str, count: int, kept: int
) -> None:
    for _ in range(3):
        sql.rows("any", "any", {"who": "ana", "sets": list(range(count))})
    assert _kept(mark) == kept


def test_a_statement_over_whole_seasons_keeps_no_plan(mark: str) -> None:
    sql.rows("any", "any", {"who": "ana", "sets": []}, kept=False)
    assert _kept(mark) == 0


def test_the_log_of_statements_shows_what_was_run(mark: str) -> None:
    values: dict[str, Any] = {"who": "ana", "sets": [1]}
    with CaptureQueriesContext(connection) as log:
        for _ in range(2):
            sql.rows("any", "any", values)
    assert [mark in one["sql"] for one in log] == [True, True]


@pytest.mark.parametrize("count", [sql.FEW, sql.FEW + 1])
@pytest.mark.parametrize("gap", [False, True])
def test_a_list_of_ids_and_moments_comes_back_as_it_went_however_long(
    monkeypatch: pytest.MonkeyPatch, count: int, gap: bool
) -> None:
    monkeypatch.setattr(
        sql, "text", lambda package, name: "SELECT %(ids)s::uuid[], %(moments)s::timestamptz[]"
    )
    ids: list[UUID | None] = [uuid4() for _ in range(count)]
    first = datetime(2026, 10, 25, 2, 30, 0, 123456, tzinfo=ZoneInfo("Europe/Oslo"))
    moments: list[datetime | None] = [
        (first + timedelta(hours=n)).replace(fold=n % 2) for n in range(count)
    ]
    if gap:
        ids[3] = moments[5] = None
    [(ids_back, back)] = sql.rows("any", "any", {"ids": ids, "moments": moments})
    assert ids_back == ids
    # By their instants: moments in a repeated hour of two zones are never equal (PEP 495).
    assert [one and one.timestamp() for one in back] == [one and one.timestamp() for one in moments]
