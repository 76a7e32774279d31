"""Statements of our own: values by name, plans kept for few and made anew for many."""

from typing import Any
from uuid import uuid4

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
