"""Each dependency has its reason, and a licence under which we may ship beside it."""

import re
from importlib.metadata import Distribution, distribution
from typing import Any

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.house import rooms

GOOD = re.compile(
    r"\b(?:MIT(?:-0|-CMU)?|BSD|0BSD|ISC|Apache|MPL|Mozilla Public|LGPL|PSF|PSFL|Zlib|CC0"
    r"|Python Software Foundation|Permission is hereby granted, free of charge)\b",
    re.IGNORECASE,
)
BAD = re.compile(r"(?<![Ll])\bA?GPL|GNU (?:Affero )?General Public|Affero|SSPL|BUSL|ODbL|\bNC\b")
# Tools of the tests alone, under a licence we would not ship beside. Of the program: none.
ONLY_TESTS = {
    "ezgpx": "GPL-3.0: writes GPX as another program would, for the tests to read; never imported",
    "timezonefinder-data": "ODbL: zone outlines that a test asks; the data are not passed on",
}
# Offered under several licences at once; the one that we take it under.
CHOSEN = {"pyphen": "Mozilla Public License 1.1 (MPL 1.1)"}


def runtime() -> set[str]:
    return _closure(rooms.pyproject()["project"]["dependencies"])


def only_tests() -> set[str]:
    return _closure(rooms.pyproject()["project"]["optional-dependencies"]["test"]) - runtime()


def licence(name: str) -> str:
    """What a distribution says of its licence; its licence file's beginning if it says nothing.

    Of one that is offered under several, the one we chose, as long as it still offers that.
    """
    made = distribution(name)
    said: Any = made.metadata
    parts = [said.get("License-Expression") or "", (said.get("License") or "")[:80]]
    parts += [one for one in said.get_all("Classifier") or [] if one.startswith("License")]
    text = " ".join(" ".join(parts).split())
    if name in CHOSEN and CHOSEN[name] in text:
        return CHOSEN[name]
    return text or _licence_file(made)


def test_every_runtime_dependency_has_its_reason_in_developers_md() -> None:
    text = (rooms.CHECKOUT / "DEVELOPERS.md").read_text(encoding="utf-8")
    section = text.split("\n## Dependencies\n")[1].split("\n## ")[0]
    named = {
        canonicalize_name(name): reason
        for name, reason in re.findall(r"^- \*\*([^*]+)\*\*: (\S.{20,})$", section, re.MULTILINE)
    }
    direct = {
        canonicalize_name(Requirement(line).name)
        for line in rooms.pyproject()["project"]["dependencies"]
    }
    assert set(named) == direct


def test_the_program_needs_nothing_under_a_licence_that_binds_it() -> None:
    found = {name: licence(name) for name in runtime()}
    assert len(found) > 30
    assert {name: text for name, text in found.items() if not _fits(text)} == {}


def test_the_tests_need_nothing_else_but_what_is_named() -> None:
    found = {name: licence(name) for name in only_tests()}
    assert {name for name, text in found.items() if not _fits(text)} == set(ONLY_TESTS)


def test_the_house_never_imports_what_only_the_tests_may_use() -> None:
    imports = re.compile(r"^\s*(?:import|from)\s+(?:ezgpx|timezonefinder)", re.MULTILINE)
    files = rooms.python_files("trapline", "tools")
    assert [rooms.shown(path) for path in files if imports.search(path.read_text())] == []


def _fits(text: str) -> bool:
    return bool(GOOD.search(text)) and not BAD.search(text)


def _licence_file(made: Distribution) -> str:
    for path in made.files or []:
        if "LICEN" in path.name.upper() or "COPYING" in path.name.upper():
            return " ".join(path.read_text().split())[:2000]
    return ""


def _closure(lines: list[str]) -> set[str]:
    """The distributions that some requirements bring, here and now."""
    seen: set[tuple[str, str]] = set()
    ahead = [(Requirement(line), "") for line in lines]
    while ahead:
        wanted, asked_by = ahead.pop()
        if wanted.marker and not wanted.marker.evaluate({"extra": asked_by}):
            continue
        for extra in ("", *wanted.extras):
            key = (canonicalize_name(wanted.name), extra)
            if key not in seen:
                seen.add(key)
                needs = distribution(wanted.name).requires or []
                ahead += [(Requirement(line), extra) for line in needs]
    return {name for name, _ in seen}
