"""The strictest rule binds: within an authority, then between authorities."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trapline.calc.deadlines import (
    NEVER_US,
    NO_RULE,
    Candidate,
    Grants,
    check_instead_of,
    strictest,
    strictest_many,
    strictest_of,
    to_us,
)

START = datetime(2025, 1, 10, tzinfo=UTC)
STATE, REFUGE, TEAM = 0, 1, 2


def hours(count: float) -> datetime:
    return START + timedelta(hours=count)


def standings(candidates: Sequence[Candidate], *grants: tuple[int, datetime]) -> list[str]:
    return [verdict.standing for verdict in strictest(candidates, grants).verdicts]


def test_between_authorities_the_earliest_due_moment_binds() -> None:
    rules = [Candidate(7, STATE, hours(72)), Candidate(3, REFUGE, hours(24))]
    binding = strictest(rules)
    assert (binding.due, binding.rule) == (hours(24), 3)
    assert standings(rules) == ["later", "binds"]


def test_a_narrower_rule_of_the_same_book_may_be_the_more_lenient() -> None:
    rules = [Candidate(1, STATE, hours(24)), Candidate(2, STATE, hours(72), instead_of=1)]
    assert strictest(rules).due == hours(72)
    assert standings(rules) == ["replaced", "binds"]


def test_the_same_rule_replaces_nothing_where_the_narrower_one_does_not_apply() -> None:
    assert strictest([Candidate(1, STATE, hours(24))]).rule == 1


def test_the_team_still_binds_where_the_law_exempts() -> None:
    rules = [Candidate(1, STATE, None), Candidate(2, TEAM, hours(48))]
    assert strictest(rules).rule == 2
    assert standings(rules) == ["exempt", "binds"]
    only = strictest(rules[:1])
    assert (only.due, only.rule) == (None, 1)


def test_no_rule_at_all_binds_nothing() -> None:
    assert strictest([]) == strictest([], [(STATE, hours(1))])
    assert strictest([]).rule is None


def test_an_extension_moves_the_moment_of_its_own_authority_only() -> None:
    rules = [Candidate(1, STATE, hours(24)), Candidate(2, TEAM, hours(48))]
    assert strictest(rules, [(STATE, hours(72))]).rule == 2
    binding = strictest(rules, [(STATE, hours(36))])
    assert (binding.due, binding.rule) == (hours(36), 1)
    assert binding.verdicts[0].granted and binding.verdicts[0].due == hours(36)
    assert strictest(rules, [(TEAM, hours(90))]).due == hours(24)
    assert strictest(rules, [(REFUGE, hours(90))]).due == hours(24)


def test_an_extension_that_a_later_visit_has_overtaken_brings_nothing_forward() -> None:
    binding = strictest([Candidate(1, STATE, hours(100))], [(STATE, hours(36))])
    assert binding.due == hours(100) and not binding.verdicts[0].granted


def test_equal_moments_are_settled_by_the_rules_number() -> None:
    rules = [Candidate(9, STATE, hours(24)), Candidate(4, TEAM, hours(24))]
    assert strictest(rules).rule == strictest(rules[::-1]).rule == 4


def test_replacements_in_a_circle_or_across_authorities_are_refused() -> None:
    with pytest.raises(ValueError, match="circle"):
        check_instead_of([(1, STATE, 2), (2, STATE, 1)])
    with pytest.raises(ValueError, match="circle"):
        check_instead_of([(1, STATE, 1)])
    with pytest.raises(ValueError, match="authority"):
        check_instead_of([(1, STATE, NO_RULE), (2, TEAM, 1)])
    check_instead_of([(1, STATE, NO_RULE), (2, STATE, 1), (3, STATE, 2), (4, STATE, 99)])


def test_a_set_outside_the_count_is_refused() -> None:
    with pytest.raises(ValueError, match="set_index"):
        strictest_of([0, 5], [1, 1], [10, 10], 5)


ROWS = st.lists(
    st.tuples(st.integers(0, 4), st.integers(0, 11), st.integers(0, 5) | st.just(NEVER_US)),
    max_size=25,
    unique_by=lambda row: (row[0], row[1]),
)
PARENTS = {2: 1, 3: 2, 6: 5, 7: 5}  # stand instead of; authority is the rule's number // 4
GRANTS = st.lists(st.tuples(st.integers(0, 4), st.integers(0, 3), st.integers(0, 9)), max_size=4)


@settings(deadline=None, derandomize=True, max_examples=400)
@given(ROWS)
def test_many_sets_at_once_get_what_each_would_alone(rows: list[tuple[int, int, int]]) -> None:
    sets, rules, due = np.array(rows, dtype=np.int64).reshape(-1, 3).T
    found = strictest_of(sets, rules, due, 5)
    for one in range(5):
        own = sorted((d, r) for s, r, d in rows if s == one)
        assert (found.due_us[one], found.rule[one]) == (own[0] if own else (NEVER_US, NO_RULE))


@settings(deadline=None, derandomize=True, max_examples=400)
@given(ROWS, GRANTS)
def test_the_whole_choice_is_what_plain_reading_of_the_rules_gives(
    rows: list[tuple[int, int, int]], grants: list[tuple[int, int, int]]
) -> None:
    sets, rules, due = np.array(rows, dtype=np.int64).reshape(-1, 3).T
    instead = np.array([PARENTS.get(r, NO_RULE) for _, r, _ in rows], dtype=np.int64)
    given_grants = Grants(*np.array(grants, dtype=np.int64).reshape(-1, 3).T)
    found = strictest_many(sets, rules // 4, rules, due, 5, instead_of=instead, grants=given_grants)
    for one in range(5):
        own = {r: d for s, r, d in rows if s == one}
        standing = {r: d for r, d in own.items() if r not in {PARENTS.get(o) for o in own}}
        firsts = []
        for authority in {r // 4 for r in standing}:
            moment, rule = min((d, r) for r, d in standing.items() if r // 4 == authority)
            until = [u for s, a, u in grants if (s, a) == (one, authority)]
            firsts.append((max([moment, *until]), rule, authority))
        expected = min(firsts, default=(NEVER_US, NO_RULE, NO_RULE))
        assert (found.due_us[one], found.rule[one], found.authority[one]) == expected
        before = own.get(expected[1])
        assert found.granted[one] == (before is not None and before != expected[0])
        _one_alone_agrees(own, [(a, u) for s, a, u in grants if s == one], expected)


def _one_alone_agrees(
    own: dict[int, int], grants: list[tuple[int, int]], expected: tuple[int, int, int]
) -> None:
    candidates = [
        Candidate(r, r // 4, None if d == NEVER_US else hours(d), PARENTS.get(r))
        for r, d in own.items()
    ]
    binding = strictest(candidates, [(a, hours(u)) for a, u in grants])
    assert (binding.rule is None) == (expected[1] == NO_RULE)
    if binding.rule is None:
        return
    assert binding.rule == expected[1]
    moment = (
        NEVER_US if binding.due is None else (to_us(binding.due) - to_us(START)) // 3_600_000_000
    )
    assert moment == expected[0]
    bound = [v for v in binding.verdicts if v.standing == "binds"]
    if binding.due is not None:
        assert [v.candidate.rule for v in bound] == [binding.rule]
        assert bound[0].due == binding.due
