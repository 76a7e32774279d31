"""Limits of rates and proportions, and when no figure is given.

- at least 10 target catches and at most 85 % of intervals disturbed: profile likelihood
  of a model in which sets differ (a gamma effect per set, mean 1);
- fewer, and at most 60 % disturbed: exact Poisson limits (Garwood 1936, Biometrika
  28:437-442) on the effective nights;
- every interval disturbed: a lower limit only;
- otherwise no figure: check oftener or set more.

Where sets differ very much (a coefficient of variation over 2) the figure stands, since that is
what the model is for, but its limits may be too narrow (`RateFigure.unlike`): of 20 events at 30
such sets they hold the truth in about eight of ten seasons (tests/trials). Look at them apart.
Where the effect would give over ten times the rate of sets taken for alike, as no spread that was
tried does, a few sets that caught within minutes make the mean: the rate given is then that of
alike sets, which is too low, without limits.
A rate is per device-night at these sets, not abundance.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import brentq
from scipy.special import ndtri, xlogy
from scipy.stats import chi2

from trapline.calc.effort import Floats, Intervals, Outcome
from trapline.calc.set_effect import Sample, profiled, sample_of

Method = Literal["profile", "exact", "alike_only", "lower_only", "too_disturbed", "no_nights"]

MANY = 10
MOST_DISTURBED_MANY = 0.85
MOST_DISTURBED_FEW = 0.60
UNLIKE_CV = 2.0
MOST_TIMES_ALIKE = 10.0  # at a spread of 3 and weekly checks it is about 2.4


@dataclass(frozen=True)
class Limits:
    lower: float
    upper: float


@dataclass(frozen=True)
class RateFigure:
    """A target rate per device-night with its two-sided limits; None where not given.

    `set_cv` is the fitted coefficient of variation between sets (profile only), from 0.05
    to 4; None where no set was checked twice, so that sets had to be taken for alike.
    """

    method: Method
    catches: int
    rate: float | None = None
    lower: float | None = None
    upper: float | None = None
    effective_nights: float | None = None
    set_cv: float | None = None

    @property
    def unlike(self) -> bool:
        """Whether the sets differ so much that the limits may be too narrow."""
        return self.set_cv is not None and self.set_cv > UNLIKE_CV


def garwood(count: int, confidence: float = 0.95) -> Limits:
    """Exact limits of a Poisson mean from a count (Garwood 1936)."""
    if count < 0:
        raise ValueError("count: 0 or more is needed")
    tail = (1 - confidence) / 2
    lower = chi2.ppf(tail, 2 * count) / 2 if count else 0.0
    return Limits(float(lower), float(chi2.isf(tail, 2 * count + 2) / 2))


def wilson(count: int, of: int, confidence: float = 0.95) -> Limits:
    """Score limits of a proportion (Wilson 1927), without continuity correction."""
    if not 0 <= count <= of or of == 0:
        raise ValueError("count: from 0 to all of them, at least one, is needed")
    z = float(ndtri((1 + confidence) / 2))
    share, bent = count / of, z * z / of
    half = z * float(np.sqrt(share * (1 - share) / of + bent / of / 4))
    middle = share + bent / 2
    # At the ends the exact limit is 0 or 1; the root of a square need not be.
    return Limits(
        0.0 if count == 0 else (middle - half) / (1 + bent),
        1.0 if count == of else (middle + half) / (1 + bent),
    )


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
    fit = data.equal
    nights = fit.effective_nights
    if catches < MANY:
        exact = garwood(catches, confidence)
        rate = fit.by_cause[Outcome.TARGET]
        return RateFigure(
            "exact", catches, rate, exact.lower / nights, exact.upper / nights, nights
        )
    repeated = data.owners[0] < len(data.set_of)
    best, limits = _profile_limits(data, catches, confidence, sets_differ=repeated)
    alike = fit.by_cause[Outcome.TARGET]
    if best.rate > MOST_TIMES_ALIKE * alike:
        return RateFigure("alike_only", catches, alike, None, None, nights, best.set_cv)
    return RateFigure(
        "profile", catches, best.rate, limits.lower, limits.upper, nights, best.set_cv
    )


@dataclass(frozen=True)
class _Best:
    log_likelihood: float
    rate: float
    set_cv: float | None


# Log likelihood of the times at each L given.
TimesLikelihood = Callable[[Floats], Floats]


def _profile_limits(
    data: Intervals, catches: int, confidence: float, *, sets_differ: bool
) -> tuple[_Best, Limits]:
    """The rate of most likelihood, and where its logarithm has fallen by chi2 / 2."""
    sample = sample_of(data)
    others = len(data.disturbed) - catches
    drop = float(chi2.ppf(confidence, 1)) / 2
    best, times = _best(data, sample, catches, others, sets_differ)

    def above(rate: float) -> float:
        return _profile(times, catches, others, rate) - best.log_likelihood + drop

    guess = best.rate
    if not np.isfinite(guess):
        guess = 1 / float(sample.nights.min())
        while above(guess) <= 0:  # it rises to its supremum with the rate
            guess *= 2
    lower = _crossing(above, guess, 0.5) if catches else 0.0
    upper = _crossing(above, guess, 2.0) if np.isfinite(best.rate) else float("inf")
    return best, Limits(lower, upper)


def _best(
    data: Intervals, sample: Sample, catches: int, others: int, sets_differ: bool
) -> tuple[_Best, TimesLikelihood]:
    share = catches / (catches + others)
    causes = _causes(catches, others, share)
    if sample.quiet.sum() == 0:  # it rises for ever: every device sprung at once
        return _Best(causes, float("inf"), None), sample.alike
    total = data.equal.total
    if not sets_differ:
        times = float(sample.alike(np.array([total]))[0])
        return _Best(causes + times, total * share, None), sample.alike
    surface = profiled(sample, total)
    most = _Best(causes + surface.most, surface.total * share, surface.cv)
    return most, surface.log_likelihood


def _profile(times: TimesLikelihood, catches: int, others: int, rate: float) -> float:
    """The most likelihood that a target rate allows, over the share of other causes.

    Looked for over a range of the share's logit, then more closely about the best of it.
    """
    if not others:
        return float(times(np.array([rate]))[0])
    middle, half = float(np.log(max(catches, 0.5) / others)), 6.0
    for _ in range(3):
        logit = np.linspace(middle - half, middle + half, 61)
        share = 1 / (1 + np.exp(-logit))
        told = times(rate / share) + xlogy(catches, share) + xlogy(others, 1 - share)
        best = int(told.argmax())
        middle, half = float(logit[best]), half / 30
    return float(told[best])


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


def night_dispersion(data: Intervals, night_of: ArrayLike) -> float:
    """How much more line-wide nights vary than chance: 1 where that cannot be told.

    `night_of` numbers the night each interval ended. Pearson's statistic over nights of
    disturbed counts against their equal-rate expectation, per degree of freedom; only where
    there are five cells or more and chance alone would give so much in under 5 %.
    """
    night = np.asarray(night_of, dtype=np.int64)
    if len(night):
        night = night - night.min()
        if night.max() > 10 * len(night) + 1000:  # numbers far apart are numbered anew
            night = np.unique(night, return_inverse=True)[1]
    known = ~((data.outcome == Outcome.OUT_OF_SERVICE) & np.isnan(data.served))
    nights = int(night.max()) + 1 if len(night) else 0
    if nights < 5 or data.quiet_nights == 0 or not len(data.disturbed):
        return 1.0
    total = data.equal.total
    served = np.where(np.isnan(data.served), data.nights, data.served)
    chance = -np.expm1(-total * served[known])
    hit = data.hit[known]
    expected = np.bincount(night[known], chance, nights)
    # Nights of little effort are taken with their neighbours, up to one disturbance expected: of
    # less the statistic is no chi-square, and one catch in a short look would outweigh a season.
    cell = np.minimum(np.floor(np.cumsum(expected) - expected / 2), expected.sum() // 1 - 1)
    pool = np.maximum(cell, 0).astype(np.int64)
    expected = np.bincount(pool, expected)
    spread = np.bincount(pool[night[known]], chance * (1 - chance), len(expected))
    seen = np.bincount(pool[night[known]], hit, len(expected))
    counted = spread > 0
    strayed = seen - expected
    freedom = int(counted.sum()) - 1
    if freedom < 4:
        return 1.0
    pearson = float((strayed[counted] ** 2 / spread[counted]).sum())
    return pearson / freedom if pearson > chi2.ppf(0.95, freedom) else 1.0


def widened(figure: RateFigure, dispersion: float) -> RateFigure:
    """The figure with limits that are wider by the square root of the dispersion, in logs."""
    if dispersion <= 1 or not figure.rate:
        return figure
    stretch = float(np.sqrt(dispersion))

    def away(limit: float | None) -> float | None:
        if limit is None or limit == 0 or figure.rate is None:
            return limit
        return float(figure.rate * (limit / figure.rate) ** stretch)

    return replace(figure, lower=away(figure.lower), upper=away(figure.upper))
