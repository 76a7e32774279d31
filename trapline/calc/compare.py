"""Two periods, devices or places side by side: the ratio of their target rates.

Checks of one set are not independent, so it is sets that are resampled (a bootstrap of
clusters); sets that stand in both groups are drawn for both at once. No bare ratio is given
where its limits say that nothing can be concluded.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from trapline.calc.clock import Ints
from trapline.calc.effort import DISTURBED, Floats, Intervals, Outcome
from trapline.calc.rates import RateFigure, target_rate

Verdict = Literal["first_higher", "second_higher", "cannot_tell", "no_figure"]

_FEWEST_SETS = 4
_ROUNDS = 60


@dataclass(frozen=True)
class RateRatio:
    """First over second. `ratio` and its limits are None where there is no figure for one."""

    verdict: Verdict
    first: RateFigure
    second: RateFigure
    ratio: float | None = None
    lower: float | None = None
    upper: float | None = None


def rate_ratio(
    first: Intervals,
    second: Intervals,
    *,
    confidence: float = 0.95,
    draws: int = 2000,
    seed: int = 1,
) -> RateRatio:
    """The ratio of target rates with limits from resampled sets.

    `set_of` names the same set by the same number in both. No figure where one group has none,
    no catch, or fewer than four sets. The seed is fixed: the same record gives the same limits.
    """
    figures = target_rate(first, confidence), target_rate(second, confidence)
    sets = [np.unique(data.set_of) for data in (first, second)]
    known = all(figure.rate for figure in figures)
    if not known or min(len(one) for one in sets) < _FEWEST_SETS:
        return RateRatio("no_figure", *figures)
    rng = np.random.default_rng(seed)
    counts = _draw(rng, sets[0], sets[1], draws)
    a, b = (
        _log_rates(data, one, weights)
        for data, one, weights in zip((first, second), sets, counts, strict=True)
    )
    drawn = (a - b)[np.isfinite(a - b)]
    # The first draw is the data themselves.
    strayed = drawn - (a[0] - b[0])
    # Limits from n resampled sets are too narrow by about sqrt(n / (n - 1)).
    fewest = min(len(one) for one in sets)
    strayed *= np.sqrt(fewest / (fewest - 1))
    tail = (1 - confidence) / 2
    assert figures[0].rate is not None and figures[1].rate is not None
    middle = float(np.log(figures[0].rate / figures[1].rate))
    low, high = (middle + float(np.quantile(strayed, share)) for share in (tail, 1 - tail))
    verdict: Verdict = "cannot_tell"
    if low > 0:
        verdict = "first_higher"
    elif high < 0:
        verdict = "second_higher"
    return RateRatio(
        verdict, *figures, float(np.exp(middle)), float(np.exp(low)), float(np.exp(high))
    )


def _draw(rng: np.random.Generator, first: Ints, second: Ints, draws: int) -> tuple[Floats, Floats]:
    """How often each set of each group is in each draw (draws x sets); row 0: once each."""
    shared = np.intersect1d(first, second)
    parts = [shared, np.setdiff1d(first, shared), np.setdiff1d(second, shared)]
    taken: dict[int, Floats] = {}
    for part in parts:
        if not len(part):
            continue
        often = rng.multinomial(len(part), np.full(len(part), 1 / len(part)), size=draws)
        often[0] = 1
        taken |= {int(one): often[:, at].astype(np.float64) for at, one in enumerate(part)}
    return (
        np.stack([taken[int(one)] for one in first], axis=1),
        np.stack([taken[int(one)] for one in second], axis=1),
    )


def _log_rates(data: Intervals, sets: Ints, weights: Floats) -> Floats:
    """The log of the equal-rate target rate in each draw; -inf or inf where there is none."""
    owner = np.searchsorted(sets, data.set_of)
    disturbed = np.isin(data.outcome, DISTURBED)
    quiet = np.where(data.outcome == Outcome.UNDISTURBED, data.nights, np.nan_to_num(data.served))
    quiet_nights = weights @ np.bincount(owner, quiet, len(sets))
    targets = weights @ np.bincount(owner, data.outcome == Outcome.TARGET, len(sets))
    lengths, which = np.unique(data.nights[disturbed], return_inverse=True)
    table = np.zeros((len(sets), len(lengths)))
    np.add.at(table, (owner[disturbed], which), 1.0)
    hits = weights @ table
    total = _roots(hits, lengths, quiet_nights)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.log(total * targets / hits.sum(axis=1)))


def _roots(hits: Floats, lengths: Floats, quiet: Floats) -> Floats:
    """The equal-rate L of each draw at once, by halving its bracket."""
    count = hits.sum(axis=1)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        low = np.log(count / (quiet + hits @ lengths)) - 1e-3
        high = np.log(count / quiet) + 1e-3
        for _ in range(_ROUNDS):
            middle = (low + high) / 2
            rate = np.exp(middle)
            terms = lengths / np.expm1(rate[:, None] * lengths)
            short = (hits * terms).sum(axis=1) > quiet
            low, high = np.where(short, middle, low), np.where(short, high, middle)
            if np.nanmax(np.where(np.isfinite(high - low), high - low, 0)) < 1e-9:
                break
        return np.asarray(np.exp((low + high) / 2))
