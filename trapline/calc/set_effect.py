"""The likelihood of disturbances at sets that differ: a gamma effect per set, by quadrature.

A set's rate is L u, u gamma with mean 1 and a coefficient of variation cv. What a set tells
depends on v = log(L u) alone, so it is worked out once on a grid of v; for every (L, cv) the
integral is then a weighted sum over that grid (trapezoid; within 1e-5 a set, since the
integrand falls to nothing on both sides; what lies beyond the grid is added as a tail).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.optimize import minimize_scalar
from scipy.sparse import csr_array
from scipy.special import gammainc, gammaincc, gammaln

from trapline.calc.clock import Ints
from trapline.calc.effort import Floats, Intervals, Outcome

_NEVER = -1e6  # stands for the logarithm of 0: finite, so that 0 times it is 0
# An assumption, tried in tests/trials: of sets that differ more the fit is that of 4.
LEAST_CV, MOST_CV = 0.05, 4.0
STEP = 0.05  # of v; no wider than the least spread it must resolve
# The grid of log L, in steps from the equal-rate fit: fine where the best one can lie.
_NEAR, _FAR = np.arange(-40, 60, 2), 8
# Of more lengths than this they are taken to the quarter of an hour: what that moves of an interval
# of a night is its (1/96)^2 / 24, under 1e-5 of a rate.
_MANY_LENGTHS, _PARTS = 500, 96
_LOG_TOTALS = np.concatenate([np.arange(-160, -40, _FAR), _NEAR, np.arange(60, 160, _FAR)])


@dataclass(frozen=True)
class Sample:
    """The data as the likelihood needs them: the quiet nights of each set, the lengths of disturbed
    intervals, and how many of each length a set has (sets by lengths, mostly 0)."""

    quiet: Floats
    nights: Floats
    count: csr_array

    def alike(self, total: Floats) -> Floats:
        """Log likelihood of the times, without the causes, at each L where all sets are alike."""
        return np.asarray(self.per_set(np.log(total)).sum(axis=0))

    def per_set(self, log_rate: Floats) -> Floats:
        """Log likelihood of each set's times (rows) at each log rate per night (columns)."""
        rate = np.exp(log_rate)
        told = -self.quiet[:, None] * rate
        if len(self.nights):
            # A rate so low that it underflows has likelihood 0 for a set with a disturbance.
            with np.errstate(divide="ignore"):
                sprung = np.log(-np.expm1(-self.nights[:, None] * rate))
            told += self.count @ np.maximum(sprung, _NEVER)
        return told


def sample_of(data: Intervals) -> Sample:
    """Group intervals by set and length."""
    sets, owner = data.owners
    quiet = np.where(data.outcome == Outcome.UNDISTURBED, data.nights, 0.0)
    failed = (data.outcome == Outcome.OUT_OF_SERVICE) & ~np.isnan(data.served)
    quiet = quiet + np.where(failed, np.nan_to_num(data.served), 0.0)
    nights, length = np.unique(data.disturbed, return_inverse=True)
    if len(nights) > _MANY_LENGTHS:
        rounded = np.maximum(np.rint(data.disturbed * _PARTS), 1) / _PARTS
        nights, length = np.unique(rounded, return_inverse=True)
    ones = np.ones(len(length))
    return Sample(
        quiet=np.bincount(owner, weights=quiet, minlength=sets).astype(np.float64),
        nights=nights,
        count=csr_array((ones, (owner[data.hit], length)), shape=(sets, len(nights))),
    )


@dataclass(frozen=True)
class Unlike:
    """A sample on its grid of v: rows are sets, scaled to a maximum of 1."""

    grid: Floats
    middle: int
    told: Floats
    scale: Floats

    def log_likelihood(self, steps: Ints, cv: float) -> Floats:
        """Of the times where log L is so many steps from the grid's middle, at a spread `cv`."""
        shape = 1 / cv**2
        cells, middle = len(self.grid), self.middle
        # The weight depends on v - log L alone: one row of it, read at every log L.
        apart = np.arange(-middle - int(steps.max()), cells - middle - int(steps.min())) * STEP
        log_density = shape * np.log(shape) - gammaln(shape) + shape * (apart - np.exp(apart))
        row = np.exp(log_density) * STEP
        weight = row[np.arange(cells)[:, None] + (int(steps.max()) - steps)]
        z = (np.array([[0], [cells - 1]]) - middle - steps) * STEP
        weight[0] = weight[0] / 2 + gammainc(shape, shape * np.exp(z[0]))
        weight[-1] = weight[-1] / 2 + gammaincc(shape, shape * np.exp(z[1]))
        with np.errstate(divide="ignore"):
            return np.asarray(np.log(self.told @ weight).sum(axis=0) + self.scale.sum())


def unlike(sample: Sample, start: float) -> Unlike:
    """Work out what each set tells on a grid that has log(start) at its middle."""
    whole = float(sample.quiet.sum() + (sample.nights * sample.count).sum())
    # Below the grid nothing is disturbed any more, above it nothing is left quiet.
    shortest = sample.nights.min() if len(sample.nights) else 1.0
    low, high = np.log(1e-6 / whole), np.log(40 / min(float(shortest), 1.0))
    below = int(np.ceil((np.log(start) - low) / STEP))
    above = int(np.ceil((high - np.log(start)) / STEP))
    grid = np.log(start) + np.arange(-below, above + 1) * STEP
    told = sample.per_set(grid)
    scale = told.max(axis=1)
    return Unlike(grid, below, np.exp(told - scale[:, None]), scale)


@dataclass(frozen=True)
class Surface:
    """The log likelihood of L with the most likely cv for each, as a spline over log L."""

    spline: CubicSpline
    most: float
    total: float
    cv: float

    def log_likelihood(self, total: Floats) -> Floats:
        """At each L; minus infinity beyond the grid, where no likelihood is left."""
        at, ends = np.log(total), self.spline.x[[0, -1]]
        inside = (ends[0] <= at) & (at <= ends[1])
        return np.where(inside, self.spline(np.clip(at, *ends)), -1e12)


def profiled(sample: Sample, start: float) -> Surface:
    """Take the most likely cv at each L, by a grid with a parabola at its top.

    start: the equal-rate L, near which the best one lies.
    """
    grid = unlike(sample, start)
    log_total = np.log(start) + _LOG_TOTALS * STEP
    log_cv = np.linspace(np.log(LEAST_CV), np.log(MOST_CV), 25)
    found = np.stack([grid.log_likelihood(_LOG_TOTALS, float(np.exp(x))) for x in log_cv])
    top, where = _tops(np.maximum(found, -1e12), log_cv)
    spline = CubicSpline(log_total, top)
    peak = int(top.argmax())
    inside = log_total[max(peak - 1, 0)], log_total[min(peak + 1, len(log_total) - 1)]
    best = minimize_scalar(
        lambda x: -float(spline(x)), bounds=inside, method="bounded", options={"xatol": 1e-6}
    )
    cv = float(np.exp(np.interp(best.x, log_total, where)))
    return Surface(spline, -float(best.fun), float(np.exp(best.x)), cv)


def _tops(found: Floats, x: Floats) -> tuple[Floats, Floats]:
    """The maximum of each column, refined by the parabola through its neighbours."""
    columns = np.arange(found.shape[1])
    at = np.clip(found.argmax(axis=0), 1, len(x) - 2)
    before, here, after = (found[at + shift, columns] for shift in (-1, 0, 1))
    bend = before - 2 * here + after
    with np.errstate(divide="ignore", invalid="ignore"):
        shift = np.where(bend < 0, (before - after) / (2 * bend), 0.0)
    shift = np.clip(np.nan_to_num(shift), -1.0, 1.0)
    top = here - (before - after) * shift / 4
    edge = np.maximum(found[0], found[-1])
    top = np.maximum(np.maximum(top, here), edge)
    return top, x[at] + shift * (x[1] - x[0])
