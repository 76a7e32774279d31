"""Lives of parts against published life data, and against a general library of survival."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from lifelines import KaplanMeierFitter, WeibullFitter
from lifelines.datasets import load_leukemia
from scipy.stats import CensoredData, weibull_min

from trapline.calc.wear import steps, weibull
from trapline.calc.wear.exposure import Lives, lives

# 23 ball bearings, million revolutions: Lieblein and Zelen 1956, J. Res. NBS 57:273-316, as
# Meeker and Escobar print them (and surpyval 0.25 ships them).
BEARINGS = [17.88, 28.92, 33.00, 41.52, 42.12, 45.60, 48.40, 51.84, 51.96, 54.12, 55.56, 67.80,
            68.64, 68.64, 68.88, 84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04,
            173.40]  # fmt: skip
# 20 units, 10 still running at 500 h: NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3.
FAILED = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386]
RUNNING = [500] * 10


def bearings() -> Lives:
    return lives(BEARINGS, [True] * len(BEARINGS))


def running() -> Lives:
    return lives(FAILED + RUNNING, [True] * 10 + [False] * 10)


def six_mp() -> Lives:
    # Freireich et al. 1963 (Gehan 1965), the 6-MP arm: weeks of remission; lifelines 0.30.3 ships
    # the table.
    table = load_leukemia()
    arm = table[table["Rx"] == 0]
    return lives(arm["t"], arm["status"] == 1)


def placebo() -> Lives:
    table = load_leukemia()
    arm = table[table["Rx"] == 1]
    return lives(arm["t"], arm["status"] == 1)


def fitted(data: Lives) -> weibull.Weibull:
    found = weibull.fit(data)
    assert found is not None
    return found


def test_ball_bearings_give_the_tabled_weibull() -> None:
    # surpyval's documentation prints 81.875 and 2.102; more digits computed apart.
    found = fitted(bearings())
    assert found.shape == pytest.approx(2.101847, abs=1e-6)
    assert found.scale == pytest.approx(81.87456, abs=1e-5)
    assert found.log_likelihood == pytest.approx(-113.69196, abs=1e-5)


def test_a_test_that_ended_with_half_still_running_gives_the_handbooks_weibull() -> None:
    found = fitted(running())
    # The handbook: shape 1.7208, scale 606.5280, log-likelihood -75.135, AIC 154.27.
    assert found.shape == pytest.approx(1.7208, abs=5e-5)
    assert found.scale == pytest.approx(606.5280, abs=5e-4)
    assert found.log_likelihood == pytest.approx(-75.135, abs=5e-4)
    assert 4 - 2 * found.log_likelihood == pytest.approx(154.27, abs=5e-3)


@pytest.mark.parametrize(
    ("arm", "shape", "scale", "log_likelihood"),
    [(six_mp, 1.35373, 33.7652, -41.6587), (placebo, 1.37050, 9.4821, -64.9201)],
)
def test_both_arms_of_the_6_mp_trial_give_the_weibull_computed_apart(
    arm: Callable[[], Lives], shape: float, scale: float, log_likelihood: float
) -> None:
    found = fitted(arm())
    assert found.shape == pytest.approx(shape, abs=1e-5)
    assert found.scale == pytest.approx(scale, abs=1e-4)
    assert found.log_likelihood == pytest.approx(log_likelihood, abs=1e-4)


def test_kaplan_and_meiers_steps_of_the_6_mp_arm() -> None:
    found = steps.steps(six_mp())
    assert found.served.tolist() == [6, 7, 10, 13, 16, 22, 23]
    assert found.at_risk.tolist() == [21, 17, 15, 12, 11, 7, 6]
    assert found.failures.tolist() == [3, 1, 1, 1, 1, 1, 1]
    assert found.surviving == pytest.approx(
        [0.8571, 0.8067, 0.7529, 0.6902, 0.6275, 0.5378, 0.4482], abs=5e-5
    )
    assert found.error == pytest.approx(
        [0.0764, 0.0869, 0.0963, 0.1068, 0.1141, 0.1282, 0.1346], abs=5e-5
    )
    assert found.median == 23
    assert steps.steps(placebo()).median == 8


@pytest.mark.parametrize("data", [bearings, running, six_mp, placebo])
def test_the_general_library_finds_the_same_curves_and_steps(
    data: Callable[[], Lives],
) -> None:
    parts = data()
    found, theirs = fitted(parts), WeibullFitter().fit(parts.served, parts.failed)
    assert found.shape == pytest.approx(theirs.rho_, rel=1e-4)
    assert found.scale == pytest.approx(theirs.lambda_, rel=1e-4)
    assert found.log_likelihood == pytest.approx(theirs.log_likelihood_, abs=1e-6)
    by_steps = KaplanMeierFitter().fit(parts.served, parts.failed)
    ours = steps.steps(parts)
    assert ours.surviving == pytest.approx(by_steps.predict(ours.served).to_numpy(), abs=1e-12)
    limits = by_steps.confidence_interval_.loc[ours.served].to_numpy()
    inner = ours.surviving > 0  # where none is left, neither has a limit
    assert ours.lower[inner] == pytest.approx(limits[inner, 0], abs=1e-9)
    assert ours.upper[inner] == pytest.approx(limits[inner, 1], abs=1e-9)


@pytest.mark.parametrize("data", [bearings, running, six_mp, placebo])
def test_a_simplex_search_over_the_censored_likelihood_ends_in_the_same_place(
    data: Callable[[], Lives],
) -> None:
    parts = data()
    sample = CensoredData(uncensored=parts.served[parts.failed], right=parts.served[~parts.failed])
    shape, _, scale = weibull_min.fit(sample, floc=0)
    found = fitted(parts)
    assert (found.shape, found.scale) == pytest.approx((shape, scale), rel=1e-3)


@pytest.mark.parametrize("data", [bearings, running, six_mp])
def test_limits_are_those_of_a_profile_searched_point_by_point(
    data: Callable[[], Lives],
) -> None:
    # Another way to the same limits: for each stated survival at a moment, the best likelihood
    # that keeps to it, on a fine grid of shapes; where it crosses chi-squared(1)/2 below the best.
    parts, level = data(), 3.841458820694124 / 2
    found = fitted(parts)
    moment = float(np.median(parts.served))
    band = found.surviving(moment)
    shapes = np.geomspace(found.shape / 8, found.shape * 8, 6000)

    def profile(survival: float) -> float:
        scales = moment / (-np.log(survival)) ** (1 / shapes)
        z = np.outer(1 / scales, parts.served) ** shapes[:, None]
        d = parts.failed.sum()
        of_failed = (shapes[:, None] - 1) * np.log(np.outer(1 / scales, parts.served[parts.failed]))
        each = d * np.log(shapes / scales) + of_failed.sum(axis=1) - z.sum(axis=1)
        return float(each.max())

    for limit in (float(band.lower), float(band.upper)):
        assert found.log_likelihood - profile(limit) == pytest.approx(level, abs=2e-3)
