"""Gamma-Poisson shrinkage on the lip cancer counts of Scotland.

Data and method: Clayton and Kaldor 1987, Biometrics 43:671-681, table 1 (56 districts). Shape
and rate about 1.88 and 1.32 as published (from memory); the further digits were recomputed by
code of other hands.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import nbinom

from trapline.calc.shrinkage import integrated, marginal, most_likely_prior

OBSERVED = [
    9, 39, 11, 9, 15, 8, 26, 7, 6, 20, 13, 5, 3, 8, 17, 9, 2, 7, 9, 7, 16, 31, 11, 7, 19, 15, 7,
    10, 16, 11, 5, 3, 7, 8, 11, 9, 11, 8, 6, 4, 10, 8, 2, 6, 19, 3, 2, 3, 28, 6, 1, 1, 1, 1, 0, 0,
]  # fmt: skip
EXPECTED = [
    1.4, 8.7, 3, 2.5, 4.3, 2.4, 8.1, 2.3, 2, 6.6, 4.4, 1.8, 1.1, 3.3, 7.8, 4.6, 1.1, 4.2, 5.5, 4.4,
    10.5, 22.7, 8.8, 5.6, 15.5, 12.5, 6, 9, 14.4, 10.2, 4.8, 2.9, 7, 8.5, 12.3, 10.1, 12.7, 9.4,
    7.2, 5.3, 18.8, 15.8, 4.3, 14.6, 50.7, 8.2, 5.6, 9.3, 88.7, 19.6, 3.4, 3.6, 5.7, 7, 4.2, 1.8,
]  # fmt: skip


def test_the_data_are_whole() -> None:
    assert (len(OBSERVED), sum(OBSERVED)) == (56, 536)
    assert sum(EXPECTED) == pytest.approx(536.2)


def test_the_most_likely_prior_is_the_published_one() -> None:
    prior = most_likely_prior(OBSERVED, EXPECTED)
    assert (prior.shape, prior.rate) == pytest.approx((1.88, 1.32), abs=0.005)
    assert (prior.shape, prior.rate) == pytest.approx((1.87949, 1.32167), abs=2e-5)
    assert prior.log_likelihood == pytest.approx(-181.57607, abs=2e-5)


@pytest.mark.parametrize(
    ("district", "ratio"),
    [(1, 3.9974), (2, 4.0791), (6, 2.6546), (49, 0.3319), (55, 0.3404), (56, 0.6021)],
)
def test_the_shrunk_ratios_are_the_published_ones(district: int, ratio: float) -> None:
    prior = most_likely_prior(OBSERVED, EXPECTED)
    shrunk = prior.shrunk(OBSERVED[district - 1], EXPECTED[district - 1])
    assert shrunk == pytest.approx(ratio, abs=1e-4)


def test_the_marginal_likelihood_is_scipys_negative_binomial() -> None:
    o, e = np.array(OBSERVED, dtype=float), np.array(EXPECTED)
    expected = nbinom.logpmf(o, 1.5, 1.1 / (e + 1.1)).sum()
    assert marginal(o, e, 1.5, 1.1) == pytest.approx(expected, rel=1e-10)


def test_with_fifty_six_districts_integrating_gives_nearly_the_plug_in_ratios() -> None:
    prior = most_likely_prior(OBSERVED, EXPECTED)
    for at, found in enumerate(integrated(OBSERVED, EXPECTED)):
        plug_in = prior.shrunk(OBSERVED[at], EXPECTED[at])
        assert found.ratio == pytest.approx(plug_in, rel=0.05)
        assert found.lower < plug_in < found.upper


def test_with_six_the_integrated_limits_are_wider_than_plug_in_ones() -> None:
    from scipy.stats import gamma

    o, e = [9, 3, 7, 5, 4, 6], [5.0, 6.0, 6.0, 5.0, 6.0, 5.5]
    wider = integrated(o, e)
    for at, found in enumerate(wider):
        # The same prior mean, its spread taken for known to be small.
        low, high = gamma.ppf([0.025, 0.975], o[at] + 25, scale=1 / (e[at] + 25))
        assert found.upper / found.lower > high / low


def test_counts_without_spread_have_no_plug_in_prior_and_integrated_limits_all_the_same() -> None:
    with pytest.raises(ValueError, match="spread"):
        most_likely_prior([5, 5, 5, 5], [5.0, 5.0, 5.0, 5.0])
    found = integrated([5, 5, 5, 5], [5.0, 5.0, 5.0, 5.0])
    assert all(one.lower < 1 < one.upper for one in found)


@pytest.mark.parametrize(
    ("observed", "expected", "field"),
    [([1], [1.0, 2.0], "expected"), ([-1], [1.0], "observed"), ([1], [0.0], "expected")],
)
def test_counts_that_cannot_be_are_refused(
    observed: list[float], expected: list[float], field: str
) -> None:
    with pytest.raises(ValueError, match=field):
        integrated(observed, expected)
