"""What the house is made of, as its tests read it: rooms and their order, tables, SQL, sources."""

import ast
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import Any

from django.apps import apps

CHECKOUT = Path(__file__).resolve().parents[2]
HOUSE = CHECKOUT / "trapline"


@cache
def pyproject() -> dict[str, Any]:
    """pyproject.toml as plain values."""
    return tomllib.loads((CHECKOUT / "pyproject.toml").read_text(encoding="utf-8"))


@cache
def level_of() -> dict[str, int]:
    """Each room with its floor, 0 the lowest, as the import contract names them."""
    (floors,) = (
        contract["layers"]
        for contract in pyproject()["tool"]["importlinter"]["contracts"]
        if contract["type"] == "layers"
    )
    return {
        room.strip(): number
        for number, floor in enumerate(reversed(floors))
        for room in floor.split("|")
    }


def may_know(room: str, other: str) -> bool:
    """Whether `room` may speak of what `other` has: its own, or that of a lower room."""
    levels = level_of()
    return room == other or levels[other] < levels[room]


def our_models() -> list[Any]:
    """Every model of the house."""
    return [model for model in apps.get_models() if model.__module__.startswith("trapline.")]


def room_of_model(model: Any) -> str:
    """The room a model lives in."""
    return str(model.__module__).split(".")[1]


def room_of_file(path: Path) -> str:
    """The room a file lies in; the file's own name if it lies in none."""
    return path.relative_to(HOUSE).parts[0]


@cache
def tables() -> dict[str, str]:
    """Each table of the house with its room."""
    return {model._meta.db_table: room_of_model(model) for model in our_models()}


def python_files(*folders: str) -> list[Path]:
    """Python files that people wrote (migrations are written by Django)."""
    found = [path for folder in folders for path in sorted((CHECKOUT / folder).rglob("*.py"))]
    return [path for path in found if "migrations" not in path.parts]


@cache
def tree(path: Path) -> ast.Module:
    """The file's syntax tree."""
    return ast.parse(path.read_text(encoding="utf-8"), str(path))


def shown(path: Path) -> str:
    """The file's path as one says it."""
    return str(path.relative_to(CHECKOUT))


@dataclass(frozen=True)
class SqlText:
    """A text of SQL, where it stands, and in which room."""

    name: str
    room: str
    text: str

    @cached_property
    def bare(self) -> str:
        """The text without its comments and its string values."""
        return re.sub(r"--[^\n]*|'(?:[^']|'')*'", " ", self.text)

    @cached_property
    def words(self) -> set[str]:
        """Every name and keyword in it."""
        return set(re.findall(r"[A-Za-z_][A-Za-z_0-9]*", self.bare))


# A string in Python is taken for SQL when it begins, after blanks and comments, with one of these.
STATEMENT = re.compile(
    r"\s*(?:--[^\n]*\n\s*)*"
    r"(?:SELECT|WITH|INSERT INTO|UPDATE|DELETE FROM|MERGE|LOCK|SET|TRUNCATE|CREATE|ALTER|DROP|COPY"
    r"|GRANT|REVOKE|CALL|DO|NOTIFY|LISTEN)\s+[A-Za-z_(*\"]",
)


@cache
def sql_files() -> list[SqlText]:
    """Every .sql file of the house."""
    return [
        SqlText(shown(path), room_of_file(path), path.read_text(encoding="utf-8"))
        for path in sorted(HOUSE.rglob("*.sql"))
    ]


@cache
def sql_strings() -> list[SqlText]:
    """Every string in the house's Python that STATEMENT takes for SQL, docstrings left out."""
    return [
        SqlText(f"{shown(path)}:{line}", room_of_file(path), text)
        for path in python_files("trapline")
        for line, text in _strings(tree(path))
        if STATEMENT.match(text)
    ]


def _strings(module: ast.Module) -> Iterator[tuple[int, str]]:
    """Strings, f-strings with what is put in them left out; docstrings are none."""
    parts = {
        id(part)
        for node in ast.walk(module)
        if isinstance(node, ast.JoinedStr)
        for part in node.values
    }
    said = {
        id(node.value)
        for node in ast.walk(module)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    for node in ast.walk(module):
        if isinstance(node, ast.JoinedStr):
            yield (
                node.lineno,
                "".join(p.value for p in node.values if isinstance(p, ast.Constant)),  # type: ignore[misc]
            )
        elif (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and id(node) not in parts | said
        ):
            yield node.lineno, node.value
