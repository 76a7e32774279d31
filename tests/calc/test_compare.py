"""Two groups of checks side by side."""

from __future__ import annotations

import numpy as np
import pytest

from tests.calc.test_effort import season
from trapline.calc.compare import rate_ratio
from trapline.calc.effort import Intervals, Outcome, equal_rates, intervals

QUIET, TARGET, OTHER, EMPTY, FAILED = Outcome


def _shifted(data: Intervals, by: int) -> Intervals:
    return intervals(data.nights, data.outcome, data.served, data.set_of + by)


def test_two_seasons_of_one_rate_cannot_be_told_apart() -> None:
    found = rate_ratio(season(1, sets=30), _shifted(season(2, sets=30), 1000))
    assert found.verdict == "cannot_tell"
    assert found.lower is not None and found.upper is not None and found.ratio is not None
    assert found.lower < 1 < found.upper
    assert found.lower < found.ratio < found.upper


def test_twice_the_rate_is_told_apart_whichever_comes_first() -> None:
    data = season(3, sets=60)
    slower = intervals(data.nights * 3, data.outcome, None, data.set_of + 1000)
    found = rate_ratio(data, slower)
    assert found.verdict == "first_higher"
    assert found.ratio == pytest.approx(3, rel=0.02)
    assert rate_ratio(slower, data).verdict == "second_higher"


def test_the_same_sets_in_both_are_resampled_together_which_narrows_the_limits() -> None:
    data = season(4, sets=30, cv=1.5)
    again = intervals(data.nights, data.outcome, None, data.set_of)
    together = rate_ratio(data, again)
    apart = rate_ratio(data, _shifted(again, 1000))
    assert together.lower == together.upper == pytest.approx(1.0)
    assert apart.lower is not None and apart.upper is not None
    assert apart.upper / apart.lower > 1.2


def test_the_limits_are_about_as_wide_as_the_catches_allow() -> None:
    # With sets alike, the variance of a log ratio of two Poisson counts is 1/a + 1/b.
    first, second = season(5, sets=60), _shifted(season(6, sets=60), 1000)
    found = rate_ratio(first, second)
    assert found.lower is not None and found.upper is not None
    a, b = first.of(TARGET), second.of(TARGET)
    expected = 2 * 1.96 * np.sqrt(1 / a + 1 / b)
    assert np.log(found.upper / found.lower) == pytest.approx(expected, rel=0.25)


@pytest.mark.parametrize(
    "second",
    [
        intervals([2.0] * 8, [QUIET] * 8),  # no catch
        intervals([2.0] * 9, [TARGET] + [QUIET] * 8, None, [1, 1, 1, 2, 2, 2, 3, 3, 3]),  # 3 sets
        intervals([2.0] * 9, [TARGET] * 9),  # all disturbed
    ],
)
def test_without_a_figure_for_both_there_is_no_ratio(second: Intervals) -> None:
    found = rate_ratio(season(7), second)
    assert (found.verdict, found.ratio) == ("no_figure", None)


def test_the_drawn_rates_are_those_of_the_fit() -> None:
    from trapline.calc.compare import _log_rates

    data = season(8, sets=12)
    sets = np.unique(data.set_of)
    twice = np.ones((2, len(sets)))
    twice[1, 0] = 2.0
    often = np.concatenate([np.arange(len(data.nights)), np.flatnonzero(data.set_of == sets[0])])
    doubled = intervals(data.nights[often], data.outcome[often], None, data.set_of[often])
    expected = [np.log(equal_rates(one).by_cause[TARGET]) for one in (data, doubled)]
    assert _log_rates(data, sets, twice) == pytest.approx(expected, rel=1e-6)
