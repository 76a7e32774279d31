"""The short form of the trials; python -m tests.trials runs the long one."""

from __future__ import annotations

import math
from functools import cache

import pytest

from tests.trials.seasons import (
    ALIKE,
    ALIKE_FEW,
    SNOWED_MIXED,
    UNLIKE,
    VERY_UNLIKE,
    Plan,
    Tally,
    shrinkage_coverage,
    tally,
)

SEASONS = 20  # of each plan but the quick one: about 200 in all


@cache
def run(plan: Plan) -> Tally:
    """A plan's seasons, simulated once for all that is asked of them."""
    return tally(plan, SEASONS, seed=11)


def slack(share: float, trials: int) -> float:
    """Three standard errors of a share: what chance alone may take off."""
    return 3 * math.sqrt(share * (1 - share) / trials)


def test_limits_of_sets_that_are_alike_hold_the_truth_as_often_as_they_say() -> None:
    told = run(ALIKE)
    assert ALIKE.expected >= 10 and told.given == told.seasons
    assert abs(told.coverage - 0.95) <= 0.02 + slack(0.95, told.given)
    assert abs(told.bias(ALIKE.rate)) < 0.05 + 3 * 0.19 / math.sqrt(
        SEASONS
    )  # 28 catches a season stray by 19 %


def test_the_truth_lies_between_leaving_undated_failures_out_and_taking_them_for_service() -> None:
    # Leaving out can only overstate, taking for service to the end can only understate.
    told = run(SNOWED_MIXED)
    assert told.coverage >= 0.93 - slack(0.93, told.given)
    assert told.bound_bias(SNOWED_MIXED.rate) < told.equal_bias(SNOWED_MIXED.rate)
    standard_error = 0.21 / math.sqrt(told.given)
    assert told.bound_bias(SNOWED_MIXED.rate) < 2 * standard_error
    assert told.equal_bias(SNOWED_MIXED.rate) > -2 * standard_error


def test_exact_limits_of_few_catches_hold_the_truth_at_least_as_often_as_they_say() -> None:
    told = tally(ALIKE_FEW, 100, seed=12)
    assert ALIKE_FEW.expected < 10 and told.methods["exact"] > 95
    assert told.coverage >= 0.95 - slack(0.95, told.given)


@pytest.mark.parametrize("plan", UNLIKE, ids=lambda plan: plan.name)
def test_the_set_effect_holds_the_truth_where_sets_differ(plan: Plan) -> None:
    told = run(plan)
    assert told.given == told.seasons
    assert told.coverage >= 0.92 - slack(0.92, told.given)
    # The mean of 20 seasons of 60 sets still strays by about 4 %.
    assert abs(told.bias(plan.rate)) < 0.05 + 0.08


@pytest.mark.long
def test_the_set_effect_holds_the_truth_where_sets_differ_very_much() -> None:
    told = tally(VERY_UNLIKE, 200, seed=14)
    assert told.given >= 0.95 * told.seasons
    assert told.coverage >= 0.92 - slack(0.92, told.given)
    assert abs(told.bias(VERY_UNLIKE.rate)) < 0.05 + 0.04
    assert told.equal_bias(VERY_UNLIKE.rate) < -0.25


def test_the_fit_that_takes_unlike_sets_for_alike_fails() -> None:
    weekly = UNLIKE[-1]
    told = run(weekly)
    assert told.equal_bias(weekly.rate) < -0.10
    assert told.equal_coverage < 0.85 < told.coverage


@pytest.mark.parametrize("members", [6, 12])
def test_shrunk_limits_hold_a_members_true_ratio(members: int) -> None:
    trials = 8
    # Members of one trial share their prior, so that their misses come together.
    assert shrinkage_coverage(members, 0.5, trials, seed=15) >= 0.90 - slack(0.9, trials * 3)
