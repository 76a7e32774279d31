"""Observed against expected counts, shrunk to their group (gamma-Poisson).

Member i has O_i catches where E_i were to be expected: O_i ~ Poisson(t_i E_i), t_i gamma with
mean m and coefficient of variation cv. Taking the most likely (m, cv) for true (plug-in, the
empirical Bayes of Clayton and Kaldor 1987, Biometrics 43:671-681) makes limits too narrow with
few members; `integrated` averages over what m and cv may be.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import brentq, minimize
from scipy.special import gammainc, gammaln

from trapline.calc.effort import Floats

# The prior of the spread: half-normal for the cv with this scale, flat in log m. An assumption,
# tried in tests/trials.
_CV_SCALE = 0.8
_MOST_CV = 3.0


@dataclass(frozen=True)
class Prior:
    """A gamma distribution of ratios: shape and rate; mean is shape / rate."""

    shape: float
    rate: float
    log_likelihood: float

    def shrunk(self, observed: float, expected: float) -> float:
        """The mean ratio after a count: (O + shape) / (E + rate)."""
        return (observed + self.shape) / (expected + self.rate)


@dataclass(frozen=True)
class Shrunk:
    """A ratio of observed to expected with its limits."""

    ratio: float
    lower: float
    upper: float


def _counts(observed: ArrayLike, expected: ArrayLike) -> tuple[Floats, Floats]:
    o = np.atleast_1d(np.asarray(observed, dtype=np.float64))
    e = np.atleast_1d(np.asarray(expected, dtype=np.float64))
    if o.shape != e.shape or not len(o):
        raise ValueError("expected: as many as observed are needed, at least one")
    if not ((o >= 0) & np.isfinite(o)).all():
        raise ValueError("observed: counts of 0 or more are needed")
    if not ((e > 0) & np.isfinite(e)).all():
        raise ValueError("expected: more than 0 is needed")
    return o, e


def marginal(observed: Floats, expected: Floats, shape: float, rate: float) -> float:
    """Log likelihood of counts whose ratios are gamma: negative binomial."""
    o, e = observed, expected
    told = gammaln(o + shape) - gammaln(shape) - gammaln(o + 1)
    return float((told + shape * np.log(rate / (e + rate)) + o * np.log(e / (e + rate))).sum())


def most_likely_prior(observed: ArrayLike, expected: ArrayLike) -> Prior:
    """Marginal maximum likelihood of the prior (Clayton and Kaldor 1987).

    ValueError when the counts spread no more than chance: the shape has then no bound.
    """
    o, e = _counts(observed, expected)
    found = minimize(
        lambda x: -marginal(o, e, float(np.exp(x[0])), float(np.exp(x[1]))),
        [0.0, 0.0],
        method="Nelder-Mead",
        options={"xatol": 1e-9, "fatol": 1e-11, "maxiter": 4000},
    )
    if found.x[0] > 12:
        raise ValueError("observed: no spread beyond chance")
    return Prior(float(np.exp(found.x[0])), float(np.exp(found.x[1])), -float(found.fun))


def integrated(observed: ArrayLike, expected: ArrayLike, confidence: float = 0.95) -> list[Shrunk]:
    """Each ratio shrunk to the group, with limits that allow for the spread being unknown.

    A grid over (log m, cv); each of its points weighs by the counts' likelihood there times the
    prior. The ratio is then a mixture of gammas, its limits the quantiles of that mixture.
    """
    o, e = _counts(observed, expected)
    log_mean, cv, weight = _grid(o, e)
    shape = 1 / cv**2
    rate = shape / np.exp(log_mean)
    tail = (1 - confidence) / 2
    found = []
    for count, due in zip(o, e, strict=True):
        a, b = count + shape, due + rate
        mean = float(weight @ (a / b))
        limits = [_quantile(share, a, b, weight, mean) for share in (tail, 1 - tail)]
        found.append(Shrunk(mean, limits[0], limits[1]))
    return found


def _grid(o: Floats, e: Floats) -> tuple[Floats, Floats, Floats]:
    """Points (log m, cv) that carry weight, and their weights (sum 1)."""
    middle = np.log((o.sum() + 0.5) / (e.sum()))
    wide = 3 / np.sqrt(o.sum() + 1) + 3 / np.sqrt(len(o))
    means = np.linspace(middle - wide, middle + wide, 41)
    spreads = np.linspace(0.02, _MOST_CV, 75)
    log_mean, cv = (part.ravel() for part in np.meshgrid(means, spreads))
    shape = 1 / cv**2
    rate = shape / np.exp(log_mean)
    told = np.zeros(len(cv))
    for count, due in zip(o, e, strict=True):
        told += gammaln(count + shape) - gammaln(shape)
        told += shape * np.log(rate / (due + rate)) + count * np.log(due / (due + rate))
    told -= (cv / _CV_SCALE) ** 2 / 2
    weight = np.exp(told - told.max())
    kept = weight > 1e-7
    return log_mean[kept], cv[kept], weight[kept] / weight[kept].sum()


def _quantile(share: float, a: Floats, b: Floats, weight: Floats, mean: float) -> float:
    def short(log_ratio: float) -> float:
        return float(weight @ gammainc(a, b * np.exp(log_ratio)) - share)

    low = high = float(np.log(mean))
    while short(low) > 0:
        low -= 1
    while short(high) < 0:
        high += 1
    return float(np.exp(brentq(short, low, high, xtol=1e-5)))
