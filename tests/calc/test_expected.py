"""Observed against expected, reckoned by hand; and on simulated members who are alike."""

import numpy as np
import pytest

from trapline.calc.expected import expected


def test_a_members_own_looks_are_left_out_of_what_is_expected_of_them() -> None:
    # One stratum. Others of 0: 4 events in 40 nights, so 10 nights are to give 1.
    told = expected([0, 1, 2], [0, 0, 0], [10, 20, 20], [5, 1, 3])
    assert told[0].expected == pytest.approx(1.0) and told[0].observed == 5
    assert told[1].expected == pytest.approx(20 * 8 / 30)


def test_strata_are_compared_each_by_itself() -> None:
    told = expected([0, 0, 1, 1], [0, 1, 0, 1], [10, 30, 10, 10], [0, 0, 5, 1])
    assert told[0].expected == pytest.approx(10 * 0.5 + 30 * 0.1)


def test_nights_where_nobody_else_looked_are_counted_apart() -> None:
    told = expected([0, 0, 1], [0, 1, 0], [10, 7, 10], [1, 6, 3])
    assert (told[0].observed, told[0].alone_nights, told[0].nights) == (1, 7, 10)
    assert told[0].tells and told[0].expected == pytest.approx(3)
    alone = expected([0], [0], [10], [4])[0]
    assert (alone.observed, alone.expected, alone.alone_nights, alone.tells) == (0, 0, 10, False)


def test_members_who_are_alike_are_expected_to_give_what_they_give() -> None:
    rng = np.random.default_rng(4)
    member, stratum = np.repeat(np.arange(8), 30), np.tile(np.arange(30), 8)
    nights = rng.uniform(5, 40, 240)
    events = rng.poisson(0.1 * nights)
    told = expected(member, stratum, nights, events)
    for one in told.values():
        assert abs(one.observed - one.expected) < 4 * np.sqrt(one.expected)
    assert sum(one.observed for one in told.values()) == events.sum()


def test_lists_of_other_lengths_and_negative_nights_are_refused() -> None:
    with pytest.raises(ValueError, match="nights"):
        expected([0, 1], [0, 0], [1.0], [0, 0])
    with pytest.raises(ValueError, match="nights"):
        expected([0], [0], [-1.0], [0])
