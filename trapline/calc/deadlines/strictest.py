"""Which of several rules binds: within one authority, then between authorities.

Within one authority's book a rule may stand `instead_of` another, which then falls
away; the earliest due moment of what remains is the authority's. An extension that its
officer granted takes that moment's place and no other authority's. Between authorities
the earliest binds. Equal moments: the rule with the lower number.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from trapline.calc.clock import NEVER_US, Bools, Ints, to_datetime, to_us

NO_RULE = -1

Standing = Literal["binds", "later", "replaced", "exempt"]


class Strictest(NamedTuple):
    """Per set: the due instant (NEVER_US if exempt or without a rule) and the rule that
    gives it (NO_RULE without one)."""

    due_us: Ints
    rule: Ints


class Grants(NamedTuple):
    """Officers' extensions: which set, by which authority, until when."""

    set_index: Ints
    authority: Ints
    until_us: Ints


class StrictestByAuthority(NamedTuple):
    """Per set: due instant, binding rule, its authority, and whether an extension moved
    that authority's moment."""

    due_us: Ints
    rule: Ints
    authority: Ints
    granted: Bools


def strictest_of(
    set_index: ArrayLike, rule_index: ArrayLike, due_us: ArrayLike, n_sets: int
) -> Strictest:
    """The earliest due moment of each set and its rule; rows in any order.

    `set_index` runs from 0 to n_sets - 1. ValueError for one outside.
    """
    sets, rules, due = (np.asarray(a, dtype=np.int64) for a in (set_index, rule_index, due_us))
    found = Strictest(
        np.full(n_sets, NEVER_US, dtype=np.int64), np.full(n_sets, NO_RULE, dtype=np.int64)
    )
    if len(sets) == 0:
        return found
    if sets.min() < 0 or sets.max() >= n_sets:
        raise ValueError("set_index: it must run from 0 to n_sets - 1")
    rows = _first_rows(sets, rules, due)
    found.due_us[sets[rows]] = due[rows]
    found.rule[sets[rows]] = rules[rows]
    return found


def _first_rows(group: Ints, rules: Ints, due: Ints) -> Ints:
    """Per group the row of the earliest due moment, of equal ones the lowest rule."""
    order = np.lexsort((rules, due, group))
    sorted_group = group[order]
    first = np.ones(len(order), dtype=np.bool_)
    first[1:] = sorted_group[1:] != sorted_group[:-1]
    return order[first]


def not_replaced(set_index: Ints, rule_index: Ints, instead_of: Ints) -> Bools:
    """Which rows stay: those whose rule no other rule of the same set stands instead of.

    `instead_of` names the replaced rule per row, NO_RULE where there is none. A rule
    replaced by one that is itself replaced stays away: the narrowest stands alone.
    """
    stands = instead_of != NO_RULE
    if not stands.any():
        return np.ones(len(set_index), dtype=np.bool_)
    width = int(max(rule_index.max(), instead_of.max())) + 1
    gone = set_index[stands] * width + instead_of[stands]
    return ~np.isin(set_index * width + rule_index, gone)


def strictest_many(
    set_index: ArrayLike,
    authority: ArrayLike,
    rule_index: ArrayLike,
    due_us: ArrayLike,
    n_sets: int,
    *,
    instead_of: ArrayLike | None = None,
    grants: Grants | None = None,
) -> StrictestByAuthority:
    """The whole choice for many sets; one row per set and rule that applies to it.

    Rule and authority numbers are not negative. A rule can stand instead of one of its
    own authority only: the rulebook must refuse others, and circles, beforehand
    (`check_instead_of`). An extension never brings a due moment forward: once a later
    visit has earned a later moment, it is spent.
    """
    arrays = (set_index, authority, rule_index, due_us)
    sets, bodies, rules, due = (np.asarray(a, dtype=np.int64) for a in arrays)
    if instead_of is not None:
        keep = not_replaced(sets, rules, np.asarray(instead_of, dtype=np.int64))
        sets, bodies, rules, due = sets[keep], bodies[keep], rules[keep], due[keep]
    width = int(bodies.max(initial=0)) + 1
    rows = _first_rows(sets * width + bodies, rules, due)
    sets, bodies, rules, due = sets[rows], bodies[rows], rules[rows], due[rows]
    moved = np.zeros(len(sets), dtype=np.bool_)
    if grants is not None and len(grants.set_index) and len(sets):
        due, moved = _extended(sets * width + bodies, width, due, grants)
    chosen = strictest_of(sets, np.arange(len(sets)), due, n_sets)
    if len(sets):
        # Equal moments are settled by rule number, not by authority.
        rows = _first_rows(sets, rules, due)
        chosen.rule[sets[rows]] = rows
    row = chosen.rule
    has = row != NO_RULE

    def of(values: Ints) -> Ints:
        return np.where(has, values[row] if len(values) else NO_RULE, NO_RULE)

    granted = has & (moved[row] if len(moved) else False)
    return StrictestByAuthority(chosen.due_us, of(rules), of(bodies), granted)


def _extended(keys: Ints, width: int, due: Ints, grants: Grants) -> tuple[Ints, Bools]:
    """Due moments with the latest extension of each set and authority (keys ascending)."""
    known = grants.authority < width  # the others' authority has no rule here
    asked = grants.set_index[known] * width + grants.authority[known]
    at = np.minimum(np.searchsorted(keys, asked), len(keys) - 1)
    hit = keys[at] == asked
    until = np.full(len(keys), -NEVER_US, dtype=np.int64)
    np.maximum.at(until, at[hit], grants.until_us[known][hit])
    return np.maximum(due, until), until > due


def check_instead_of(rules: Iterable[tuple[int, int, int]]) -> None:
    """ValueError unless replacements stay within an authority and run in no circle.

    Each rule is (rule, authority, instead_of or NO_RULE).
    """
    known = {rule: (authority, instead) for rule, authority, instead in rules}
    for rule, (authority, instead) in known.items():
        seen, at = {rule}, instead
        while at in known:
            if at in seen:
                raise ValueError(f"instead_of: circle at rule {rule}")
            seen.add(at)
            other, following = known[at]
            if other != authority:
                raise ValueError(f"instead_of: other authority at rule {rule}")
            at = following


@dataclass(frozen=True)
class Candidate:
    """A rule that applies to a set. `due` is None where the rule exempts it."""

    rule: int
    authority: int
    due: datetime | None
    instead_of: int | None = None


@dataclass(frozen=True)
class Verdict:
    """What became of one candidate, for the page that says why.

    `due` is its moment after an extension, `granted` whether one moved it. Of several
    rules of the authority only its earliest is extended.
    """

    candidate: Candidate
    standing: Standing
    due: datetime | None
    granted: bool = False


@dataclass(frozen=True)
class Binding:
    """The due moment of one set, the rule that gives it, and every candidate's standing."""

    due: datetime | None
    rule: int | None
    verdicts: tuple[Verdict, ...]


def strictest(
    candidates: Sequence[Candidate], grants: Sequence[tuple[int, datetime]] = ()
) -> Binding:
    """The choice for one set with its reasons; `grants` are (authority, until when).

    The same sums as `strictest_many`. ValueError for replacements that
    `check_instead_of` refuses.
    """
    instead = [NO_RULE if c.instead_of is None else c.instead_of for c in candidates]
    check_instead_of((c.rule, c.authority, i) for c, i in zip(candidates, instead, strict=True))
    rules = np.array([c.rule for c in candidates], dtype=np.int64)
    bodies = np.array([c.authority for c in candidates], dtype=np.int64)
    due = np.array([_us(c.due) for c in candidates], dtype=np.int64)
    zeros = np.zeros(len(rules), dtype=np.int64)
    given = Grants(
        np.zeros(len(grants), dtype=np.int64),
        np.array([authority for authority, _ in grants], dtype=np.int64),
        np.array([to_us(until) for _, until in grants], dtype=np.int64),
    )
    replaced = np.array(instead, dtype=np.int64)
    found = strictest_many(zeros, bodies, rules, due, 1, instead_of=replaced, grants=given)
    stays = not_replaced(zeros, rules, replaced) if len(rules) else np.ones(0, dtype=np.bool_)
    verdicts = tuple(
        _verdict(candidates, number, stays, int(found.rule[0]), grants)
        for number in range(len(candidates))
    )
    rule = int(found.rule[0])
    return Binding(_at(int(found.due_us[0])), None if rule == NO_RULE else rule, verdicts)


def _verdict(
    candidates: Sequence[Candidate],
    number: int,
    stays: Bools,
    binding: int,
    grants: Sequence[tuple[int, datetime]],
) -> Verdict:
    candidate = candidates[number]
    if not stays[number]:
        return Verdict(candidate, "replaced", candidate.due)
    own = [
        c
        for c, stay in zip(candidates, stays, strict=True)
        if stay and c.authority == candidate.authority
    ]
    first = min(own, key=lambda c: (_us(c.due), c.rule))
    due, granted = candidate.due, False
    for authority, until in grants:
        extends = due is not None and until > due
        if authority == candidate.authority and candidate is first and extends:
            due, granted = until, True
    if candidate.rule == binding and candidate is first:
        return Verdict(candidate, "binds", due, granted)
    return Verdict(candidate, "exempt" if due is None else "later", due, granted)


def _us(at: datetime | None) -> int:
    return NEVER_US if at is None else to_us(at)


def _at(us: int) -> datetime | None:
    return None if us == NEVER_US else to_datetime(us)
