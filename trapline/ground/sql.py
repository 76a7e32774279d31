"""SQL texts live in .sql files beside the module that runs them."""

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from importlib.resources import files
from typing import Any

import psycopg
from django.db import connection

# A text of ours is planned once a connection: planning took as long as running it.
PREPARED_AFTER = 2


@cache
def text(package: str, name: str) -> str:
    """The SQL of `name`.sql in `package` (a dotted module path)."""
    return files(package).joinpath(f"{name}.sql").read_text(encoding="utf-8")


def rows(
    package: str, name: str, params: dict[str, Any], *, binary: bool = False
) -> list[tuple[Any, ...]]:
    """Run a statement of the file and give all its rows.

    binary: numbers come as the database holds them, which for many wide rows is quicker to read.
    """
    with _cursor(binary=binary) as cursor:
        cursor.execute(text(package, name), params)
        return list(cursor.fetchall())


def run(package: str, name: str, params: dict[str, Any]) -> int:
    """Run a statement of the file and give the number of rows it touched."""
    with _cursor() as cursor:
        cursor.execute(text(package, name), params)
        return int(cursor.rowcount)


class _Logged(psycopg.Cursor[Any]):
    """psycopg forgets the text of a kept plan; Django's log of statements wants it."""

    def execute(self, query: Any, params: Any = None, **how: Any) -> Any:
        done = super().execute(query, params, **how)
        self._query = self._query or self._convert_query(query, params)
        return done


@contextmanager
def _cursor(*, binary: bool = False) -> Iterator[Any]:
    """A cursor that sends values apart from the text, so that PostgreSQL can keep the plan.

    Django's own cursor writes the values into the text. Its wrapper stays around this one:
    errors become Django's, and statements are counted.
    """
    connection.ensure_connection()
    raw: Any = connection.connection
    raw.prepare_threshold = PREPARED_AFTER
    inner = _Logged(raw) if connection.queries_logged else psycopg.Cursor(raw)
    if binary:
        inner.format = psycopg.pq.Format.BINARY
    with connection._prepare_cursor(inner) as cursor:  # type: ignore[attr-defined]
        yield cursor
