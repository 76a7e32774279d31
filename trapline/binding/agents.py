"""What another than a licence's holder may do with a set that bears it, by the rules."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from trapline.binding.matters import VersionRules

DEEDS = ("tend", "kill", "carry", "tag")
NO_RULE = -1


class Leave(NamedTuple):
    """Rules by number, NO_RULE for none: which lets no agent do it, which asks for a paper."""

    forbids: int = NO_RULE
    paper: int = NO_RULE


FREE = Leave()


@dataclass(frozen=True)
class Agents:
    """A `Leave` for each of DEEDS. A book that says nothing of agents forbids nothing."""

    tend: Leave = FREE
    kill: Leave = FREE
    carry: Leave = FREE
    tag: Leave = FREE


def agents(rules: VersionRules, numbers: Sequence[int]) -> Agents:
    """What agents may do by some rules that apply to a set; of those only the ones on agents count.

    Within one authority a deed is free where any of its rules frees it, without a paper where one
    of those asks for none. Between authorities each that speaks of agents has to free it.
    """
    by_authority: dict[int, list[int]] = {}
    for number in numbers:
        if rules.matters[number] == "agent":
            by_authority.setdefault(rules.authority[number], []).append(number)
    return Agents(*(_leave(rules, by_authority.values(), deed) for deed in DEEDS))


def _leave(rules: VersionRules, said: Iterable[list[int]], deed: str) -> Leave:
    forbids = paper = NO_RULE
    for mine in said:
        free = [number for number in mine if rules.params[number].get(deed)]
        if not free:
            forbids = mine[0] if forbids == NO_RULE else forbids
        elif all(rules.params[number].get("paper") for number in free) and paper == NO_RULE:
            paper = free[0]
    return Leave(forbids, paper)
