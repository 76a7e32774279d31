"""Limits of the target rate, and when there is no figure."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import chi2, gamma

from tests.calc.test_effort import season
from trapline.calc import rates, set_effect
from trapline.calc.effort import Intervals, Outcome, equal_rates, intervals

QUIET, TARGET, OTHER, EMPTY, FAILED = Outcome


def outcomes(target: int, other: int, quiet: int, nights: float = 2.0) -> Intervals:
    kinds = [TARGET] * target + [OTHER] * other + [QUIET] * quiet
    sets = [number % (len(kinds) // 4 + 1) for number in range(len(kinds))]
    return intervals([nights] * len(kinds), kinds, None, sets)


@pytest.mark.parametrize(
    ("target", "other", "quiet", "method"),
    [
        (9, 3, 8, "exact"),  # 60 % disturbed
        (9, 4, 8, "too_disturbed"),  # 62 %
        (10, 7, 3, "profile"),  # 85 %
        (10, 8, 3, "too_disturbed"),  # 86 %
        (9, 3, 0, "lower_only"),
        (0, 0, 5, "exact"),
        (0, 5, 5, "exact"),
    ],
)
def test_a_figure_is_given_only_where_the_checks_can_bear_it(
    target: int, other: int, quiet: int, method: str
) -> None:
    found = rates.target_rate(outcomes(target, other, quiet))
    assert found.method == method and found.catches == target
    assert (found.rate is not None) == (method in ("exact", "profile"))
    assert (found.lower is not None) == (method != "too_disturbed")


def test_sets_that_differ_beyond_any_model_have_the_rate_of_alike_sets_and_no_limits() -> None:
    # Five sets caught within the hour, thirty seldom in weeks: whatever spread is allowed for, the
    # likelihood asks for more, and the mean of such rates goes by where it is stopped.
    minutes = intervals([0.02] * 10, [TARGET] * 10, None, [n // 2 for n in range(10)])
    weeks = intervals(
        [1.0] * 600, [TARGET] * 5 + [QUIET] * 595, None, [9 + n % 30 for n in range(600)]
    )
    both = intervals(
        np.concatenate([minutes.nights, weeks.nights]),
        np.concatenate([minutes.outcome, weeks.outcome]),
        None,
        np.concatenate([minutes.set_of, weeks.set_of]),
    )
    found = rates.target_rate(both)
    assert (found.method, found.lower, found.upper) == ("alike_only", None, None)
    assert found.rate == both.equal.by_cause[TARGET] and found.unlike
    assert rates.target_rate(weeks).method == "exact"


def test_sets_that_differ_very_much_have_a_figure_and_are_told_to_do_so() -> None:
    # Thirty sets, five of which catch every fourth night and the others next to never.
    rng = np.random.default_rng(8)
    owner = np.repeat(np.arange(30), 20)
    outcome = np.where(rng.random(600) < np.where(owner < 5, 0.25, 0.002), TARGET, QUIET)
    found = rates.target_rate(intervals(np.ones(600), outcome, None, owner))
    assert found.method == "profile" and found.unlike
    assert found.lower is not None and found.upper is not None and found.rate is not None
    assert found.lower < found.rate < found.upper
    alike = np.where(rng.random(600) < 0.05, TARGET, QUIET)
    assert not rates.target_rate(intervals(np.ones(600), alike, None, owner)).unlike


def test_one_catch_in_a_look_of_minutes_does_not_widen_a_seasons_limits() -> None:
    rng = np.random.default_rng(4)
    nights, night_of = np.ones(600), np.repeat(np.arange(30), 20)
    outcome = np.where(rng.random(600) < 0.05, TARGET, QUIET)
    told = intervals(np.append(nights, 0.001), np.append(outcome, TARGET))
    assert rates.night_dispersion(told, np.append(night_of, 30)) == 1.0


def test_without_a_night_in_service_there_is_no_figure() -> None:
    assert rates.target_rate(intervals([2.0], [FAILED])).method == "no_nights"


def test_few_catches_have_exact_limits_on_the_effective_nights() -> None:
    data = outcomes(4, 2, 30)
    found = rates.target_rate(data)
    nights = equal_rates(data).effective_nights
    exact = rates.garwood(4)
    assert found.effective_nights == nights
    assert (found.lower, found.upper) == (exact.lower / nights, exact.upper / nights)
    assert found.rate == pytest.approx(4 / nights)


def test_undated_failures_do_not_water_down_the_share_of_disturbed_intervals() -> None:
    data = intervals([2.0] * 40, [TARGET] * 7 + [QUIET] * 3 + [FAILED] * 30)
    assert rates.target_rate(data).method == "too_disturbed"


def test_where_all_were_disturbed_the_lower_limit_is_where_the_likelihood_says() -> None:
    data = intervals([2.0] * 6, [TARGET] * 6)
    found = rates.target_rate(data)
    # Six times log(1 - exp(-2 L)) has fallen by chi2 / 2 from its supremum 0.
    expected = -np.log(1 - np.exp(-chi2.ppf(0.95, 1) / 2 / 6)) / 2
    assert found.lower == pytest.approx(expected, rel=1e-4)
    assert found.rate is None and found.upper is None


def test_where_all_were_disturbed_and_none_by_a_target_the_lower_limit_is_nothing() -> None:
    found = rates.target_rate(intervals([2.0] * 3, [OTHER, EMPTY, OTHER]))
    assert (found.method, found.lower, found.upper) == ("lower_only", 0.0, None)


def test_alike_sets_get_the_equal_rate_and_wide_enough_limits() -> None:
    data = season(11)
    found = rates.target_rate(data)
    fit = equal_rates(data)
    assert found.method == "profile" and found.set_cv is not None and found.set_cv < 0.4
    assert found.rate == pytest.approx(fit.by_cause[TARGET], rel=0.05)
    exact = rates.garwood(found.catches)
    assert found.lower is not None and found.upper is not None
    assert found.lower == pytest.approx(exact.lower / fit.effective_nights, rel=0.1)
    assert found.upper == pytest.approx(exact.upper / fit.effective_nights, rel=0.1)


def test_unlike_sets_checked_weekly_bias_the_equal_rate_and_not_the_set_effect() -> None:
    # Gamma CV 1, checks every seven nights, long intervals between catches: the true
    # target rate is 0.06. (Simulated here; the size of the bias is our own figure.)
    rng = np.random.default_rng(5)
    sets, checks = 400, 12
    effect = rng.gamma(1, 1, sets)
    owner = np.repeat(np.arange(sets), checks)
    waits = rng.exponential(1 / (np.array([0.06, 0.02, 0.04]) * effect[owner][:, None]))
    outcome = np.where(waits.min(axis=1) > 7, 0, 1 + waits.argmin(axis=1))
    data = intervals(np.full(len(owner), 7.0), outcome, None, owner)
    equal = equal_rates(data).by_cause[TARGET]
    found = rates.target_rate(data)
    assert equal < 0.06 * 0.85
    assert found.rate == pytest.approx(0.06 * effect.mean(), rel=0.08)
    assert found.set_cv == pytest.approx(1.0, abs=0.15)
    assert found.lower is not None and found.upper is not None
    assert found.lower < 0.06 < found.upper


def test_sets_checked_only_once_are_taken_for_alike() -> None:
    kinds = [TARGET] * 12 + [QUIET] * 30
    found = rates.target_rate(intervals([2.0] * 42, kinds))
    assert found.method == "profile" and found.set_cv is None
    assert found.rate == pytest.approx(equal_rates(intervals([2.0] * 42, kinds)).total, rel=1e-4)
    top = 12 * np.log(12 / 42) + 30 * np.log(30 / 42)
    for limit in (found.lower, found.upper):
        assert limit is not None
        quiet = np.exp(-2 * limit)
        fallen = top - 12 * np.log(1 - quiet) - 30 * np.log(quiet)
        assert fallen == pytest.approx(chi2.ppf(0.95, 1) / 2, rel=1e-3)


@pytest.mark.parametrize("cv", [0.3, 1.0, 1.8])
def test_the_likelihood_of_unlike_sets_is_the_integral_over_their_effect(cv: float) -> None:
    data = intervals([3.0, 5.0, 2.0, 5.0], [TARGET, QUIET, EMPTY, TARGET], None, [1, 1, 1, 2])
    total, shape = 0.08, 1 / cv**2

    def mixed(quiet: float, nights: list[float]) -> float:
        def density(u: float) -> float:
            sprung = np.prod([1 - np.exp(-total * u * n) for n in nights])
            return float(np.exp(-total * u * quiet) * sprung * gamma.pdf(u, shape, scale=1 / shape))

        return float(quad(density, 0, 60, limit=500, points=[0.01, 1, 5])[0])

    expected = np.log(mixed(5.0, [3.0, 2.0])) + np.log(mixed(0.0, [5.0]))
    grid = set_effect.unlike(set_effect.sample_of(data), total)
    found = grid.log_likelihood(np.array([0]), cv)
    assert found[0] == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("cv", [0.06, 0.5, 1.0, 2.0])
def test_sets_that_were_never_disturbed_have_the_gammas_own_laplace_transform(cv: float) -> None:
    # The mean of exp(-L u n) over a gamma u is (1 + L n cv^2) ^ (-1 / cv^2): a textbook identity.
    data = intervals([4.0, 3.0], [QUIET, QUIET], None, [1, 1])
    grid = set_effect.unlike(set_effect.sample_of(data), 0.05)
    for steps in (-120, 0, 60, 120):
        total = 0.05 * np.exp(steps * set_effect.STEP)
        exact = -np.log1p(total * 7 * cv**2) / cv**2
        assert grid.log_likelihood(np.array([steps]), cv)[0] == pytest.approx(
            exact, rel=1e-6, abs=1e-5
        )


def test_a_count_below_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="count"):
        rates.garwood(-1)
