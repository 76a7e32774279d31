"""Effort, rates and their limits against published tables and indices."""

from __future__ import annotations

from math import log, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trapline.calc.effort import Outcome, equal_rates, half_interval_nights, intervals
from trapline.calc.rates import garwood, target_rate, wilson

# Garwood 1936, Biometrika 28:437-442, two-sided 95 % (computed from the chi-squared
# relation). 0: the upper limit 3.689 is printed by the epitools manual (pois.exact).
GARWOOD_95 = {
    0: (0, 3.6889),
    1: (0.0253, 5.5716),
    2: (0.2422, 7.2247),
    3: (0.6187, 8.7673),
    4: (1.0899, 10.2416),
    5: (1.6235, 11.6683),
    6: (2.2019, 13.0595),
    7: (2.8144, 14.4227),
    8: (3.4538, 15.7632),
    9: (4.1154, 17.0848),
    10: (4.7954, 18.3904),
}


@pytest.mark.parametrize("count", GARWOOD_95)
def test_exact_poisson_limits_are_garwoods(count: int) -> None:
    limits = garwood(count)
    assert (limits.lower, limits.upper) == pytest.approx(GARWOOD_95[count], abs=5e-5)


@pytest.mark.parametrize(
    ("confidence", "lower", "upper"),
    [(0.95, 16.18, 36.90), (0.90, 17.38, 34.92), (0.99, 14.00, 41.00)],
)
def test_limits_of_a_count_of_twenty_five(confidence: float, lower: float, upper: float) -> None:
    # A statistics publisher's answer page on the confidence interval of a count.
    limits = garwood(25, confidence)
    assert (limits.lower, limits.upper) == pytest.approx((lower, upper), abs=0.006)


@pytest.mark.parametrize(
    ("count", "of", "lower", "upper", "digits"),
    [
        # Newcombe 1998, Stat. Med. 17:857-872, method 3 (limits recomputed)
        (81, 263, 0.2553, 0.3662, 4),
        (15, 148, 0.0624, 0.1605, 4),
        (0, 20, 0.0, 0.1611, 4),
        (1, 29, 0.0061, 0.1718, 4),
        (10, 14, 0.453505, 0.882788, 5),  # a library's worked example, with z rounded to 1.96
        (100, 200, 0.4313609, 0.5686391, 7),  # statsmodels 0.15.0, test_proportion.py
    ],
)
def test_limits_of_a_proportion_are_wilsons(
    count: int, of: int, lower: float, upper: float, digits: int
) -> None:
    limits = wilson(count, of)
    tolerance = 0.55 * 10**-digits
    assert (limits.lower, limits.upper) == pytest.approx((lower, upper), abs=tolerance)


@pytest.mark.parametrize(("count", "of"), [(38, 38), (0, 77)])
def test_a_proportions_limits_stay_between_nothing_and_all(count: int, of: int) -> None:
    # The edges of statsmodels' issue GH 7386.
    limits = wilson(count, of)
    assert 0 <= limits.lower <= limits.upper <= 1


def linn_downton(unsprung: int, others: int, targets: int) -> tuple[float, float]:
    """The index per 100 trap-nights and its standard error (one night per check).

    Fitzgerald, Efford and Karl 2004, NZ J. Zool. 31:167-184.
    """
    effort = unsprung + others + targets
    share = targets / (others + targets)
    index = -100 * share * log(unsprung / effort)
    error = 100 * sqrt(
        others * targets * log(unsprung / effort) ** 2 / (effort - unsprung) ** 3
        + targets**2 / (unsprung * effort * (effort - unsprung))
    )
    return index, error


def one_night(unsprung: int, others: int, targets: int) -> list[Outcome]:
    return (
        [Outcome.UNDISTURBED] * unsprung
        + [Outcome.SPRUNG_EMPTY] * others
        + [Outcome.TARGET] * targets
    )


@given(st.integers(1, 200), st.integers(0, 60), st.integers(1, 60))
def test_with_equal_intervals_the_rate_is_linn_and_downtons_index(
    unsprung: int, others: int, targets: int
) -> None:
    outcomes = one_night(unsprung, others, targets)
    fit = equal_rates(intervals([1.0] * len(outcomes), outcomes))
    index, _ = linn_downton(unsprung, others, targets)
    assert 100 * fit.by_cause[Outcome.TARGET] == pytest.approx(index, rel=1e-9)


@pytest.mark.parametrize(("unsprung", "others", "targets"), [(900, 60, 80), (400, 0, 70)])
def test_the_limits_are_as_wide_as_linn_and_downtons_standard_error_says(
    unsprung: int, others: int, targets: int
) -> None:
    # Of many catches at alike sets the likelihood is nearly normal: half the limits' width over
    # 1.96 is then the printed error, within what the next term of the series adds.
    outcomes = one_night(unsprung, others, targets)
    figure = target_rate(intervals([1.0] * len(outcomes), outcomes))
    index, error = linn_downton(unsprung, others, targets)
    assert figure.method == "profile" and figure.set_cv is None
    assert figure.lower is not None and figure.upper is not None
    assert 100 * (figure.upper - figure.lower) / (2 * 1.96) == pytest.approx(error, rel=0.02)
    assert 100 * figure.lower < index - 1.8 * error and 100 * figure.upper > index + 1.8 * error


@given(st.integers(1, 200), st.integers(1, 60))
def test_without_other_springings_it_is_caughleys(unsprung: int, targets: int) -> None:
    # Caughley 1977: -100 ln(1 - catches / traps)
    outcomes = one_night(unsprung, 0, targets)
    fit = equal_rates(intervals([1.0] * len(outcomes), outcomes))
    index = -100 * np.log(1 - targets / (unsprung + targets))
    assert 100 * fit.by_cause[Outcome.TARGET] == pytest.approx(index, rel=1e-9)


def test_the_classic_correction_is_nelson_and_clarks() -> None:
    # Nelson and Clark 1973, J. Mammal. 54:295-298, eq. 2: CE = 100 A / (TU - I S / 2), with
    # A catches, TU = P I N, S sprung by all causes. The figures put in are invented.
    intervals_count, length, traps, sprung, catches = 5, 2, 20, 14, 9
    unsprung = intervals_count * traps - sprung
    outcomes = one_night(unsprung, sprung - catches, catches)
    data = intervals([float(length)] * len(outcomes), outcomes)
    expected = 100 * catches / (intervals_count * length * traps - length * sprung / 2)
    assert 100 * catches / half_interval_nights(data, "A") == pytest.approx(expected)


@pytest.mark.parametrize(("x", "bias"), [(0.5, -0.02), (1.0, -0.08)])
def test_the_classic_correction_falls_short_as_its_series_says(x: float, bias: float) -> None:
    # Bias -x^2/12 for x = L n (worked out from the series, no source).
    undisturbed = round(1e6 * np.exp(-x))
    outcomes = one_night(undisturbed, 0, 1_000_000 - undisturbed)
    data = intervals(np.full(len(outcomes), 1.0), outcomes)
    rate = data.of(Outcome.TARGET) / half_interval_nights(data, "A")
    assert rate / x - 1 == pytest.approx(bias, abs=0.005)
