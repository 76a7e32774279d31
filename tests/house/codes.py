"""Every code of a problem that the house can raise, read from its source."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from tests.house import rooms

# Functions that make a problem, with the place of the code among their arguments.
MAKERS = {"Problem": 1, "NeedsReview": 1}
# Functions that make a problem from a code, and what they put in front of it.
PREFIXED = {
    ("trapline/rulebook/reading.py", "_refused"): (0, "file_"),
    ("trapline/calc/deadlines/forms.py", "FormError"): (1, "form_"),
}
# Codes made of parts; each with the codes they come to.
MADE_OF_PARTS = {
    "file_": "the codes that _refused() is called with",
    "form_": "the codes that FormError is raised with",
    "shape_": "words_of_problems.SHAPE_WORDS, with a sentence for any other",
    "constraint_": "any constraint of the database, with a sentence for any other",
    "rulebook_unknown_": "zones and species",
    "report_stop_": "reports.reconcile.STOPS, and set_standing",
}


@dataclass(frozen=True)
class Raised:
    """A code, or the beginning of one that is made of parts, and where it stands."""

    code: str
    where: str
    whole: bool
    values: frozenset[str] | None  # names of the values that come with it; None: not said here


@cache
def raised() -> list[Raised]:
    """What is raised anywhere in the house."""
    return [found for path in rooms.python_files("trapline") for found in _in_file(path)]


def untold() -> list[str]:
    """Places where a problem is made of a code that stands elsewhere."""
    return [
        f"{rooms.shown(path)}:{call.lineno}"
        for path in rooms.python_files("trapline")
        for call, code in _makers(path)
        if not isinstance(code, ast.Constant | ast.JoinedStr)
    ]


def _in_file(path: Path) -> Iterator[Raised]:
    for call, code in _makers(path):
        where = f"{rooms.shown(path)}:{call.lineno}"
        if isinstance(code, ast.JoinedStr):
            first: Any = code.values[0]
            yield Raised(str(first.value), where, whole=False, values=None)
        elif isinstance(code, ast.Constant):
            yield Raised(str(code.value), where, whole=True, values=_values(call))
    for (name, function), (place, prefix) in PREFIXED.items():
        if rooms.shown(path) == name:
            for call in _calls(path, function):
                code = call.args[place]
                if isinstance(code, ast.Constant) and isinstance(code.value, str):
                    where = f"{name}:{call.lineno}"
                    yield Raised(prefix + code.value, where, whole=True, values=None)


def _makers(path: Path) -> Iterator[tuple[ast.Call, ast.expr]]:
    for function, place in MAKERS.items():
        for call in _calls(path, function):
            named = {word.arg: word.value for word in call.keywords}
            if len(call.args) > place:
                yield call, call.args[place]
            elif "code" in named:
                yield call, named["code"]


def _calls(path: Path, function: str) -> list[ast.Call]:
    return [
        node
        for node in ast.walk(rooms.tree(path))
        if isinstance(node, ast.Call)
        and (node.func.id if isinstance(node.func, ast.Name) else None) == function
    ]


def _values(call: ast.Call) -> frozenset[str] | None:
    """The names of the values a problem is made with."""
    if isinstance(call.func, ast.Name) and call.func.id == "NeedsReview":
        return frozenset(word.arg for word in call.keywords if word.arg)
    given = call.args[2] if len(call.args) > 2 else None
    if given is None:
        return frozenset()
    if isinstance(given, ast.Dict):
        return frozenset(str(key.value) for key in given.keys if isinstance(key, ast.Constant))
    return None
