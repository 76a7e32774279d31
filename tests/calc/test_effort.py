"""The rate of disturbance against an independent fit, and its edges."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
import statsmodels.api as sm

from trapline.calc.clock import to_us
from trapline.calc.effort import (
    Intervals,
    Outcome,
    equal_rates,
    half_interval_nights,
    intervals,
    service_nights,
    worth_showing_both,
)

QUIET, TARGET, OTHER, EMPTY, FAILED = Outcome


def season(seed: int, sets: int = 60, checks: int = 15, cv: float = 0.0) -> Intervals:
    """A simulated season: three causes, intervals of 0.5 to 8 nights, sets that may differ."""
    rng = np.random.default_rng(seed)
    rates = np.array([0.03, 0.01, 0.02])
    effect = rng.gamma(1 / cv**2, cv**2, sets) if cv else np.ones(sets)
    owner = np.repeat(np.arange(sets), checks)
    nights = rng.uniform(0.5, 8.0, len(owner))
    waits = rng.exponential(1 / (rates * effect[owner][:, None]))
    outcome = np.where(waits.min(axis=1) > nights, 0, 1 + waits.argmin(axis=1))
    return intervals(nights, outcome, None, owner)


@pytest.mark.parametrize("seed", range(5))
def test_the_rate_is_that_of_a_complementary_log_log_regression(seed: int) -> None:
    # P(disturbed) = 1 - exp(-L n) is a binomial GLM with that link and offset ln n.
    data = season(seed)
    disturbed = (data.outcome != QUIET).astype(float)
    model = sm.GLM(
        disturbed,
        np.ones(len(disturbed)),
        family=sm.families.Binomial(sm.families.links.CLogLog()),
        offset=np.log(data.nights),
    )
    total = float(np.exp(model.fit(tol=1e-12).params[0]))
    fit = equal_rates(data)
    assert fit.total == pytest.approx(total, rel=1e-6)
    assert sum(fit.by_cause.values()) == pytest.approx(fit.total)
    share = data.of(TARGET) / len(data.disturbed)
    assert fit.by_cause[TARGET] == pytest.approx(total * share, rel=1e-6)
    assert fit.effective_nights == pytest.approx(len(data.disturbed) / total, rel=1e-6)


def test_service_time_is_elapsed_hours_whatever_the_clock_did() -> None:
    zone = ZoneInfo("America/New_York")
    start = datetime(2025, 3, 8, 12, tzinfo=zone)
    nights = service_nights(
        [to_us(start)] * 2,
        [to_us(datetime(2025, 3, 9, 12, tzinfo=zone)), to_us(start + timedelta(days=1, hours=12))],
    )
    assert nights == pytest.approx([23 / 24, 35 / 24])


def test_without_a_disturbance_the_rate_is_nothing_on_all_nights() -> None:
    fit = equal_rates(intervals([2.0, 3.0, 4.0], [QUIET, QUIET, FAILED], [np.nan, np.nan, 1.5]))
    assert fit.total == 0 and fit.effective_nights == 6.5


def test_a_device_that_failed_at_a_known_time_served_until_then() -> None:
    dated = intervals([4.0, 4.0, 4.0], [TARGET, QUIET, FAILED], [np.nan, np.nan, 1.0])
    plain = intervals([4.0, 4.0, 1.0], [TARGET, QUIET, QUIET])
    assert equal_rates(dated).total == pytest.approx(equal_rates(plain).total)


def test_one_that_failed_nobody_knows_when_is_left_out_and_bounds_the_rate() -> None:
    data = intervals([4.0, 4.0, 4.0], [TARGET, QUIET, FAILED])
    without = intervals([4.0, 4.0], [TARGET, QUIET])
    assert data.undated == 1
    assert equal_rates(data).total == pytest.approx(equal_rates(without).total)
    bound = equal_rates(data.in_service_throughout())
    assert bound.total < equal_rates(data).total
    assert bound.total == pytest.approx(equal_rates(intervals([4.0] * 3, [1, 0, 0])).total)


def test_when_every_interval_was_disturbed_the_rate_has_no_bound() -> None:
    fit = equal_rates(intervals([1.0, 2.0], [TARGET, EMPTY]))
    assert fit.total == float("inf") and fit.by_cause[OTHER] == 0
    assert fit.by_cause[TARGET] == float("inf")


def test_very_long_and_very_short_intervals_are_fitted_alike() -> None:
    data = intervals([1e-4, 5_000.0, 3.0, 2.0], [TARGET, TARGET, QUIET, EMPTY])
    fit = equal_rates(data)
    n = np.array([1e-4, 5_000.0, 2.0])
    with np.errstate(over="ignore"):
        assert (n / np.expm1(fit.total * n)).sum() == pytest.approx(3.0)


def test_the_two_classic_corrections_take_different_devices_for_half() -> None:
    data = intervals([2.0] * 5, [QUIET, TARGET, OTHER, EMPTY, FAILED], [np.nan] * 4 + [0.5])
    assert half_interval_nights(data, "A") == 8 + 0.5 - 3
    assert half_interval_nights(data, "B") == 8 - 2


def test_the_classic_figure_is_shown_beside_the_models_only_where_it_differs() -> None:
    assert not worth_showing_both(0.100, 0.096)
    assert worth_showing_both(0.100, 0.094)


@pytest.mark.parametrize(
    ("nights", "outcome", "served", "field"),
    [
        ([0.0], [0], None, "nights"),
        ([np.nan], [0], None, "nights"),
        ([1.0], [7], None, "outcome"),
        ([1.0, 2.0], [0], None, "outcome"),
        ([1.0], [4], [1.5], "served"),
        ([1.0], [4], [-0.5], "served"),
    ],
)
def test_intervals_that_cannot_be_are_refused_by_field(
    nights: list[float], outcome: list[int], served: list[float] | None, field: str
) -> None:
    with pytest.raises(ValueError, match=field):
        intervals(nights, outcome, served)


def test_no_night_in_service_has_no_rate() -> None:
    with pytest.raises(ValueError, match="nights"):
        equal_rates(intervals([1.0], [FAILED]))


def test_the_shares_of_causes_are_those_of_a_multinomial_logit() -> None:
    # Among disturbed intervals, an intercept-only multinomial logit of the cause.
    data = season(6)
    disturbed = data.outcome[data.outcome != QUIET]
    model = sm.MNLogit(disturbed, np.ones(len(disturbed))).fit(disp=False)
    odds = np.concatenate([[1.0], np.exp(np.asarray(model.params).ravel())])
    fit = equal_rates(data)
    found = [fit.by_cause[cause] / fit.total for cause in (TARGET, OTHER, EMPTY)]
    assert found == pytest.approx(odds / odds.sum(), rel=1e-6)
