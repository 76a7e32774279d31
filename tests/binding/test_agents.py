"""What an agent may do: within one authority what any rule frees, between them what each does."""

from datetime import UTC, datetime
from typing import Any

from trapline.binding.agents import Agents, Leave, agents
from trapline.binding.matters import VersionRules, draft_rules
from trapline.binding.profiles import Profile, applying
from trapline.rulebook.schema import read_document

AT = datetime(2026, 1, 5, tzinfo=UTC)
SNARE = Profile("snare", "killing", "land", frozenset(), "", ("marten",), "UTC")


def rules(*said: dict[str, Any]) -> VersionRules:
    return draft_rules(
        read_document(
            {
                "format": 1, "title": "T", "in_force_from": "2025-10-01T00:00:00Z",
                "authorities": [{"code": code, "name": code, "kind": kind}
                                for code, kind in (("state", "state"), ("area", "special_area"))],
                "rules": [{"matter": "agent", "form": "may", **one} for one in said],
            }
        )
    )  # fmt: skip


def asked(*said: dict[str, Any]) -> Agents:
    book = rules(*said)
    return agents(book, applying(book, SNARE, AT, book.of("agent")))


def a(code: str, authority: str = "state", /, **more: Any) -> dict[str, Any]:
    kept: dict[str, Any] = {
        name: more.pop(name) for name in ("device_classes", "instead_of") if name in more
    }
    return {"code": code, "authority": authority, "params": more, **kept}


def test_a_book_that_says_nothing_of_agents_forbids_nothing() -> None:
    assert asked() == Agents()
    assert asked(a("cages", tend=False, device_classes=["cage"])) == Agents()


def test_what_a_rule_leaves_out_an_agent_may_not_do() -> None:
    found = asked(a("a", tend=True, carry=True, paper="A letter"))
    assert (found.tend, found.carry) == (Leave(paper=0), Leave(paper=0))
    assert (found.kill, found.tag) == (Leave(forbids=0), Leave(forbids=0))


def test_within_an_authority_any_rule_frees_and_one_without_a_paper_asks_for_none() -> None:
    found = asked(a("a", tend=True, paper="A letter"), a("b", tend=True, kill=True))
    assert (found.tend, found.kill, found.tag) == (Leave(), Leave(), Leave(forbids=0))


def test_a_narrower_rule_stands_instead_of_the_wider() -> None:
    found = asked(a("a", tend=True), a("b", device_classes=["snare"], instead_of=["a"]))
    assert found.tend == Leave(forbids=1)


def test_between_authorities_each_has_to_free_it() -> None:
    both = asked(a("a", tend=True), a("b", "area", tend=True, paper="A card"))
    assert both.tend == Leave(paper=1)
    assert asked(a("a", tend=True), a("b", "area", kill=True)).tend == Leave(forbids=1)
