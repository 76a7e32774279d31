"""The rows of a file of gear as an import shows them, and how their cells are read."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import isfinite
from typing import Any
from uuid import UUID

from trapline.gear.formats.columns import DEVICE_KIND, NUMBERS, PART, TAKES, built_of
from trapline.ground.errors import Problem
from trapline.ground.tables import TableRow
from trapline.record.envelope import flat


@dataclass
class PlannedRow:
    """What would become of one row. changes: column, what it says now, what it would say."""

    line_no: int
    what: str
    name: str
    becomes: str = "same"  # new, changed, same or refused
    changes: list[tuple[str, str, str]] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


@dataclass
class GearAct:
    """An act that would be sent, and the lines of the file that it is made of."""

    act: UUID
    kind: str
    body: dict[str, Any]
    lines: list[int]


def order_of(row: TableRow) -> tuple[int, int]:
    """Kinds before what is of them, devices before their parts, wherever they stand in the file."""
    what = row.cells.get("what", "").strip().lower()
    return (list(TAKES).index(what) if what in TAKES else 0, row.line_no)


def name_of(cells: Mapping[str, str]) -> str:
    """What a kind is called, or how a thing is marked."""
    return cells.get("name") or cells.get("mark") or ""


def number_of(text: str) -> float | None:
    """The number, if it is one and finite."""
    try:
        found = float(text)
    except ValueError:
        return None
    return found if isfinite(found) else None


def said_as(column: str, text: str) -> str | int | float:
    """A cell as an act says it: a number as one; money stays as it is written."""
    found = number_of(text)
    if column not in NUMBERS or column == "price" or found is None:
        return text
    return int(found) if column == "fewest" and found == int(found) else found


def alike(column: str, said: str, now: str) -> bool:
    """Whether two cells of a column say the same."""
    if column in NUMBERS:
        return bool(now) and number_of(said) == number_of(now)
    if column == "built_of":
        return _built(said) == _built(now)
    return said == now


def _built(text: str) -> Counter[str]:
    parts = built_of(text)
    return Counter() if isinstance(parts, Problem) else Counter(map(repr, map(_pairs, parts)))


def _pairs(part: Mapping[str, object]) -> list[tuple[str, object]]:
    return sorted(part.items())


def at_column(problem: Problem, what: str) -> Problem:
    """The problem of an act at the column that says it."""
    one = flat(problem)
    step = one.field.split(".")[0]
    parts = {DEVICE_KIND: "built_of", PART: "device"}.get(what, "row")
    column = {"how": "state", "member": "lent_to", "parts": parts}.get(step, step)
    return replace(one, field=column)
