"""SQL texts live in .sql files beside the module that runs them."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from functools import cache
from importlib.resources import files
from types import NoneType
from typing import Any
from uuid import UUID

import psycopg
from django.db import DEFAULT_DB_ALIAS, connections

# About so few a statement's plan is kept: planning took as long as running it, up to four times.
FEW = 20
NAMED = re.compile(r"%\((\w+)\)s")
MOST_KEPT = 300  # plans a connection keeps: our texts, some with and without a value


@cache
def text(package: str, name: str) -> str:
    """The SQL of `name`.sql in `package` (a dotted module path)."""
    return files(package).joinpath(f"{name}.sql").read_text(encoding="utf-8")


def rows(
    package: str,
    name: str,
    params: dict[str, Any],
    *,
    binary: bool = False,
    kept: bool = True,
) -> list[tuple[Any, ...]]:
    """Run a statement of the file and give all its rows.

    binary: numbers come as the database holds them, which for many wide rows is quicker to read.
    kept: False for one that runs over whole seasons, which is planned for its values each time.
    """
    with _cursor(kept=kept and _few(params), binary=binary) as cursor:
        cursor.execute(text(package, name), params)
        return list(cursor.fetchall())


def run(package: str, name: str, params: dict[str, Any]) -> int:
    """Run a statement of the file and give the number of rows it touched."""
    with _cursor(kept=_few(params)) as cursor:
        cursor.execute(text(package, name), params)
        return int(cursor.rowcount)


@contextmanager
def together() -> Iterator[None]:
    """What is run inside goes out at once, none waiting for the answer to the one before.

    So PostgreSQL works while Python does. The first error is raised at the end, or where rows are
    read, and `run` does not know how many rows it touched.
    """
    ours = connections[DEFAULT_DB_ALIAS]
    ours.ensure_connection()
    raw: Any = ours.connection
    with ours.wrap_database_errors, raw.pipeline():
        yield


def _few(params: dict[str, Any]) -> bool:
    """Whether a plan that knows no values serves: it takes each list for some ten long."""
    return all(len(one) <= FEW for one in params.values() if isinstance(one, (list, tuple)))


@cache
def _numbered(statement: str) -> tuple[str, tuple[str, ...]]:
    """A statement with its values by number, and their names in that order.

    psycopg reads a long text anew each time, to the same end.
    """
    names = tuple(dict.fromkeys(NAMED.findall(statement)))
    for number, name in enumerate(names, 1):
        statement = statement.replace(f"%({name})s", f"${number}")
    return statement.replace("%%", "%"), names


def _sent(value: list[Any]) -> Any:
    """A list of ids or moments as the text of an array: psycopg writes each by itself, at four to

    six times the cost. Of anything else as it is; PostgreSQL takes the type from the statement.
    """
    kinds = set(map(type, value)) - {NoneType}
    if kinds == {UUID}:
        return f"{{{','.join('null' if one is None else one.hex for one in value)}}}"
    if kinds == {datetime}:
        return f"{{{','.join('null' if one is None else one.isoformat() for one in value)}}}"
    return value


class _Ours(psycopg.RawCursor[Any]):
    """A cursor whose plans are kept, or are not: Django's wrapper has no way to say so."""

    kept = True
    logged = False

    def execute(self, query: Any, params: Any = None, **how: Any) -> Any:
        statement, names = _numbered(query)
        given = [params[name] for name in names]
        values = [_sent(one) if isinstance(one, list) else one for one in given]
        done = super().execute(statement, values, prepare=self.kept, **how)
        if self.logged:  # psycopg forgets the text of a kept plan; Django's log wants it
            self._query = self._query or self._convert_query(statement, values)
        return done


@contextmanager
def _cursor(*, kept: bool, binary: bool = False) -> Iterator[Any]:
    """A cursor that sends values apart from the text, so that PostgreSQL can keep the plan.

    Django's own cursor writes the values into the text. Its wrapper stays around this one:
    errors become Django's, and statements are counted.
    """
    ours = connections[DEFAULT_DB_ALIAS]  # looked up once: the proxy does so at every turn
    ours.ensure_connection()
    raw: Any = ours.connection
    raw.prepare_threshold, raw.prepared_max = 0, MOST_KEPT
    inner = _Ours(raw)
    inner.kept, inner.logged = kept, ours.queries_logged
    if binary:
        inner.format = psycopg.pq.Format.BINARY
    with ours._prepare_cursor(inner) as cursor:  # type: ignore[attr-defined]
        yield cursor
