"""Small files, small functions, and a word at the top of each."""

import ast
import statistics
from pathlib import Path

import pytest

from tests.house import rooms

MOST_LINES, MOST_IN_FUNCTION = 400, 60
FOLDERS = ("trapline", "tools", "tests")


def lines_of(path: Path) -> int:
    return len(path.read_text(encoding="utf-8").splitlines())


def test_every_module_says_what_it_is() -> None:
    silent = [
        rooms.shown(path)
        for path in rooms.python_files(*FOLDERS)
        if path.stat().st_size
        and path.name not in ("apps.py", "__init__.py")
        and not ast.get_docstring(rooms.tree(path))
    ]
    assert silent == []


def test_no_file_is_longer_than_400_lines(capsys: pytest.CaptureFixture[str]) -> None:
    sizes = {rooms.shown(path): lines_of(path) for path in rooms.python_files(*FOLDERS)}
    texts = {text.name: len(text.text.splitlines()) for text in rooms.sql_files()}
    own = [size for name, size in sizes.items() if name.startswith("trapline") and size]
    with capsys.disabled():
        print(  # noqa: T201 - a figure of the house, shown with its tests
            f"\n{len(own)} files of trapline/ with {sum(own)} lines,"
            f" median {statistics.median(own):g}, longest {max(own)}"
        )
    assert {n: size for n, size in (sizes | texts).items() if size > MOST_LINES} == {}


def test_no_function_is_longer_than_60_lines() -> None:
    long = {
        f"{rooms.shown(path)}:{node.name}": size
        for path in rooms.python_files(*FOLDERS)
        for node in ast.walk(rooms.tree(path))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and (size := (node.end_lineno or 0) - node.lineno + 1) > MOST_IN_FUNCTION
    }
    assert long == {}
