"""How many spares cover a season with a stated chance.

Parts that last: each part in service fails with its own chance, and what takes its place may fail
in turn. The number of failures is the sum over parts; its distribution is their convolution.

Parts that one catch spends: catches of next season from those of the sets and seasons before. Sets
differ (a gamma effect), seasons differ, and the mean itself is known only so well; the catches of
a season are then a negative binomial.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import nbinom

from trapline.calc.shrinkage import most_likely_prior
from trapline.calc.wear.exposure import Floats

_CHUNK = 256


def failures(chances: ArrayLike, again: float = 0.0) -> Floats:
    """P(0), P(1), ... of failures within the season, parts failing independently.

    chances: of each part in service, 0 to 1. again: the chance that a new part put in fails within
    a whole season; since it serves only the rest of it, the numbers err towards more spares.
    Absolute error below 1e-9. ValueError for chances outside their bounds.
    """
    p = np.atleast_1d(np.asarray(chances, dtype=np.float64))
    if not ((p >= 0) & (p <= 1)).all() or not 0 <= again < 1:
        raise ValueError("chances: from 0 to 1 are needed, and again below 1")
    mean = float(p.sum()) / (1 - again)
    spread = float((p * (1 + again - p)).sum()) / (1 - again) ** 2
    # Room for what a tail beyond 1e-12 can hold: by Bernstein's bound with steps 1 / (1 - again).
    room = 30 / (1 - again)
    size = 1 << int(np.ceil(np.log2(mean + 8 * spread**0.5 + room + 2)))
    z = np.exp(-2j * np.pi * np.arange(size) / size)
    later = z * (1 - again) / (1 - again * z)  # one failure, then those of what took its place
    product = np.ones(size, dtype=np.complex128)
    for start in range(0, len(p), _CHUNK):
        some = p[start : start + _CHUNK, None]
        product *= np.prod(1 - some + some * later, axis=0)
    found: Floats = np.clip(np.fft.ifft(product).real, 0, None)
    whole: Floats = found / found.sum()
    return whole


def enough(distribution: Floats, chance: float) -> int:
    """The fewest spares that are enough with at least this chance (between 0 and 1)."""
    if not 0 < chance < 1:
        raise ValueError("chance: between 0 and 1 is needed")
    return int(np.searchsorted(np.cumsum(distribution), chance - 1e-9))


@dataclass(frozen=True)
class Seasons:
    """What sets caught: one row a set and season, with its nights in service (more than 0)."""

    catches: Floats
    nights: Floats
    season: Sequence[int]


@dataclass(frozen=True)
class Predicted:
    """Catches of a season to come: a negative binomial of this mean and shape (mean^2 / shape is
    its variance beyond Poisson's). The rest says what widens it: coefficients of variation."""

    mean: float
    shape: float
    sets_cv: float
    seasons_cv: float
    rate: float  # per night in service

    def enough(self, chance: float) -> int:
        """The fewest spares that are enough with at least this chance."""
        return int(nbinom.ppf(chance, self.shape, self.shape / (self.shape + self.mean)))

    def chance(self, spares: int) -> float:
        """The chance that so many spares are enough."""
        return float(nbinom.cdf(spares, self.shape, self.shape / (self.shape + self.mean)))


def _spread_of_sets(past: Seasons) -> float:
    """Relative variance of sets' rates: 0 where counts spread no more than chance."""
    if len(past.catches) < 2 or past.catches.sum() == 0:
        return 0.0
    try:
        return 1 / most_likely_prior(past.catches, past.nights).shape
    except ValueError:
        return 0.0


def catches_to_come(past: Seasons, nights: ArrayLike) -> Predicted | None:
    """Catches of sets that will stand so many nights each; None without any past night.

    Exact where all sets stand equally long and seasons are alike; else by its first two moments.
    Seasons differ by what their totals vary beyond what sets explain (three seasons or more).
    """
    ahead = np.atleast_1d(np.asarray(nights, dtype=np.float64))
    total = float(past.nights.sum())
    if total <= 0 or ahead.sum() <= 0:
        return None
    known = (
        float(past.catches.sum()) + 0.5
    )  # Jeffreys' prior: no catch yet is not a promise of none
    rate = known / total
    of_sets = _spread_of_sets(past)
    of_seasons = _season_variance(past, rate, of_sets)
    spread = of_sets * float((ahead**2).sum() / ahead.sum() ** 2) + of_seasons + 1 / known
    return Predicted(rate * float(ahead.sum()), 1 / spread, of_sets**0.5, of_seasons**0.5, rate)


def _season_variance(past: Seasons, rate: float, of_sets: float) -> float:
    """Relative variance of seasons, by moments; 0 from fewer than three."""
    keys, row = np.unique(np.asarray(past.season), return_inverse=True)
    if len(keys) < 3:
        return 0.0
    caught = np.bincount(row, weights=past.catches)
    mean = rate * np.bincount(row, weights=past.nights)
    within = mean + of_sets * rate**2 * np.bincount(row, weights=past.nights**2)
    beyond = float(((caught - mean) ** 2 - within).sum()) * len(keys) / (len(keys) - 1)
    return max(0.0, beyond / float((mean**2).sum()))
