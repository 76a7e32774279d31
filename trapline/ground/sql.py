"""SQL texts live in .sql files beside the module that runs them."""

from functools import cache
from importlib.resources import files
from typing import Any

from django.db import connection


@cache
def text(package: str, name: str) -> str:
    """The SQL of `name`.sql in `package` (a dotted module path)."""
    return files(package).joinpath(f"{name}.sql").read_text(encoding="utf-8")


def rows(package: str, name: str, params: dict[str, Any]) -> list[tuple[Any, ...]]:
    """Run a statement of the file and give all its rows."""
    with connection.cursor() as cursor:
        cursor.execute(text(package, name), params)
        return list(cursor.fetchall())


def run(package: str, name: str, params: dict[str, Any]) -> int:
    """Run a statement of the file and give the number of rows it touched."""
    with connection.cursor() as cursor:
        cursor.execute(text(package, name), params)
        return int(cursor.rowcount)
