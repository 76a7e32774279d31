"""Limits of rates and proportions, and when no figure is given.

- at least 10 target catches and at most 85 % of intervals disturbed: profile likelihood
  of a model in which sets differ (a gamma effect per set, mean 1);
- fewer, and at most 60 % disturbed: exact Poisson limits (Garwood 1936, Biometrika
  28:437-442) on the effective nights;
- every interval disturbed: a lower limit only;
- otherwise no figure: check oftener or set more.

A rate is per device-night at these sets, not abundance.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from scipy.optimize import brentq, minimize
from scipy.special import gammaincinv, xlogy
from scipy.stats import binomtest, chi2

from trapline.calc.clock import Ints
from trapline.calc.effort import DISTURBED, Floats, Intervals, Outcome, equal_rates

Method = Literal["profile", "exact", "lower_only", "too_disturbed", "no_nights"]

MANY = 10
MOST_DISTURBED_MANY = 0.85
MOST_DISTURBED_FEW = 0.60
_NODES = 48
_LEAST_CV, _MOST_CV = 1e-3, 2.0  # an assumption: sets that differ more are not one line


@dataclass(frozen=True)
class Limits:
    lower: float
    upper: float


@dataclass(frozen=True)
class RateFigure:
    """A target rate per device-night with its two-sided limits; None where not given.

    `set_cv` is the fitted coefficient of variation between sets (profile only), from 0.001
    to 2; None where no set was checked twice, so that sets had to be taken for alike.
    """

    method: Method
    catches: int
    rate: float | None = None
    lower: float | None = None
    upper: float | None = None
    effective_nights: float | None = None
    set_cv: float | None = None


def garwood(count: int, confidence: float = 0.95) -> Limits:
    """Exact limits of a Poisson mean from a count (Garwood 1936)."""
    if count < 0:
        raise ValueError("count: 0 or more is needed")
    tail = (1 - confidence) / 2
    lower = chi2.ppf(tail, 2 * count) / 2 if count else 0.0
    return Limits(float(lower), float(chi2.isf(tail, 2 * count + 2) / 2))


def wilson(count: int, of: int, confidence: float = 0.95) -> Limits:
    """Score limits of a proportion (Wilson 1927), without continuity correction."""
    found = binomtest(count, of).proportion_ci(confidence, method="wilson")
    return Limits(float(found.low), float(found.high))


def target_rate(data: Intervals, confidence: float = 0.95) -> RateFigure:
    """The rate of target catches per device-night, or why there is none."""
    catches = data.of(Outcome.TARGET)
    disturbed, quiet = len(data.disturbed), data.quiet_nights
    if disturbed == 0 and quiet == 0:
        return RateFigure("no_nights", catches)
    known = len(data.nights) - data.undated
    share = disturbed / known
    if quiet == 0:
        lower = _profile_limits(data, catches, confidence, sets_differ=False)[1]
        return RateFigure("lower_only", catches, lower=lower.lower)
    if share > (MOST_DISTURBED_MANY if catches >= MANY else MOST_DISTURBED_FEW):
        return RateFigure("too_disturbed", catches)
    fit = equal_rates(data)
    nights = fit.effective_nights
    if catches < MANY:
        exact = garwood(catches, confidence)
        rate = fit.by_cause[Outcome.TARGET]
        return RateFigure(
            "exact", catches, rate, exact.lower / nights, exact.upper / nights, nights
        )
    repeated = len(np.unique(data.set_of)) < len(data.set_of)
    best, limits = _profile_limits(data, catches, confidence, sets_differ=repeated)
    return RateFigure(
        "profile", catches, best.rate, limits.lower, limits.upper, nights, best.set_cv
    )


@lru_cache(maxsize=8)
def _legendre(nodes: int) -> tuple[Floats, Floats]:
    x, w = np.polynomial.legendre.leggauss(nodes)
    return (x + 1) / 2, w / 2


def set_effects(cv: float, nodes: int = _NODES) -> tuple[Floats, Floats]:
    """Nodes and weights of a gamma with mean 1: Gauss-Legendre on its quantiles."""
    share, weight = _legendre(nodes)
    shape = 1 / cv**2
    return gammaincinv(shape, share) / shape, weight


@dataclass(frozen=True)
class _Sample:
    """The data as the likelihood needs them: the quiet nights of each set, and the
    disturbed intervals in groups of one set and length, in the order of the sets."""

    quiet: Floats
    nights: Floats
    count: Floats
    starts: Ints
    caught: Ints
    """The sets that had a disturbance, and where each one's groups start."""

    def log_likelihood(self, total: float, cv: float | None) -> float:
        """Of the times, without the causes; `cv` None takes all sets for alike."""
        effect, weight = (np.ones(1), np.ones(1)) if cv is None else set_effects(cv)
        per_set = -total * self.quiet[:, None] * effect
        if len(self.nights):
            # A set so quiet that its node's rate underflows has likelihood 0 there.
            with np.errstate(divide="ignore"):
                sprung = np.log(-np.expm1(-total * self.nights[:, None] * effect))
            sums = np.add.reduceat(self.count[:, None] * sprung, self.starts, axis=0)
            per_set[self.caught] += sums
        top = per_set.max(axis=1)
        return float((top + np.log(np.exp(per_set - top[:, None]) @ weight)).sum())


def _sample(data: Intervals) -> _Sample:
    sets, owner = np.unique(data.set_of, return_inverse=True)
    quiet = np.where(data.outcome == Outcome.UNDISTURBED, data.nights, 0.0)
    failed = (data.outcome == Outcome.OUT_OF_SERVICE) & ~np.isnan(data.served)
    quiet = quiet + np.where(failed, np.nan_to_num(data.served), 0.0)
    disturbed = np.isin(data.outcome, DISTURBED)
    pairs = np.stack([owner[disturbed].astype(np.float64), data.nights[disturbed]])
    groups, count = np.unique(pairs, axis=1, return_counts=True)
    caught, starts = np.unique(groups[0].astype(np.int64), return_index=True)
    return _Sample(
        quiet=np.bincount(owner, weights=quiet, minlength=len(sets)).astype(np.float64),
        nights=groups[1],
        count=count.astype(np.float64),
        starts=starts,
        caught=caught,
    )


@dataclass(frozen=True)
class _Best:
    log_likelihood: float
    rate: float
    set_cv: float | None


def _profile_limits(
    data: Intervals, catches: int, confidence: float, *, sets_differ: bool
) -> tuple[_Best, Limits]:
    """The rate of most likelihood, and where its logarithm has fallen by chi2 / 2."""
    sample = _sample(data)
    others = len(data.disturbed) - catches
    drop = float(chi2.ppf(confidence, 1)) / 2
    best = _best(data, sample, catches, others, sets_differ)

    def above(rate: float) -> float:
        found = _profile(sample, catches, others, rate, best)
        return found - best.log_likelihood + drop

    guess = best.rate
    if not np.isfinite(guess):
        guess = 1 / float(sample.nights.min())
        while above(guess) <= 0:  # it rises to its supremum with the rate
            guess *= 2
    lower = _crossing(above, guess, 0.5) if catches else 0.0
    upper = _crossing(above, guess, 2.0) if np.isfinite(best.rate) else float("inf")
    return best, Limits(lower, upper)


def _best(data: Intervals, sample: _Sample, catches: int, others: int, sets_differ: bool) -> _Best:
    share = catches / (catches + others)
    causes = _causes(catches, others, share)
    if sample.quiet.sum() == 0:  # it rises for ever: every device sprung at once
        return _Best(causes, float("inf"), None)
    total = equal_rates(data).total
    if not sets_differ:
        return _Best(causes + sample.log_likelihood(total, None), total * share, None)
    # The start is the equal-rate fit with sets that differ a little: its bias is mild.
    found = minimize(
        lambda x: -sample.log_likelihood(float(np.exp(x[0])), _cv(x[1])),
        [np.log(total), np.log(0.5)],
        method="Nelder-Mead",
        options={"xatol": 1e-3, "fatol": 1e-5},
    )
    return _Best(causes - float(found.fun), float(np.exp(found.x[0])) * share, _cv(found.x[1]))


def _profile(sample: _Sample, catches: int, others: int, rate: float, best: _Best) -> float:
    """The most likelihood that a target rate allows, over the other causes and the sets."""
    cv = best.set_cv

    def loss(x: Floats) -> float:
        # The share of targets among disturbances, free unless all are targets.
        share = 1 / (1 + float(np.exp(-x[0]))) if others else 1.0
        spread = None if cv is None else _cv(x[-1])
        return -(sample.log_likelihood(rate / share, spread) + _causes(catches, others, share))

    start = [np.log(max(catches, 0.5) / others)] if others else []
    if cv is not None:
        start.append(np.log(max(cv, 0.05)))
    if not start:
        return -loss(np.empty(0))
    found = minimize(loss, start, method="Nelder-Mead", options={"xatol": 1e-3, "fatol": 1e-5})
    return -float(found.fun)


def _cv(log_cv: float) -> float:
    return float(np.clip(np.exp(log_cv), _LEAST_CV, _MOST_CV))


def _causes(catches: int, others: int, share: float) -> float:
    return float(xlogy(catches, share) + xlogy(others, 1 - share))


def _crossing(above: Callable[[float], float], start: float, step: float) -> float:
    """Where `above` falls through 0, going from `start` by factors of `step`."""
    inside, outside = start, start * step
    while above(outside) > 0:
        inside, outside = outside, outside * step
    root = brentq(
        lambda log_rate: above(float(np.exp(log_rate))),
        *sorted((np.log(inside), np.log(outside))),
        xtol=1e-5,
    )
    return float(np.exp(root))
