"""The Weibull life of a kind of part from its failures and survivors, with limits.

S(t) = exp(-(t / scale)^shape). Maximum likelihood with right-censoring. With x = ln t,
k = shape and b = k ln scale the log-likelihood, sum over failures of (ln k + k x - b - x) less
the sum over all of exp(k x - b), is concave in (k, b) (Burridge 1981, J. R. Stat. Soc. B
43:41-45), so the best is the one root of one equation in k, and every set of values that the
data do not contradict is convex. General fitting by a simplex search gives the same to about
four digits, slower, and can stop short when most parts survive; tests compare the two.

Limits are by profile likelihood: the extremes of a figure over all (k, b) whose log-likelihood
lies within chi-squared(1)/2 of the best. Each figure here moves one way in b, so its extremes lie
on the edge of that region, which is traced once at 128 points; between two points an extreme is
missed by less than 1 part in 1,000 of the interval's half-width.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import brentq
from scipy.stats import chi2

from trapline.calc.wear.exposure import Floats, Lives

_RAYS = 128
_STEPS = 200  # of Newton's method along a ray; ten are enough but for samples of another world


@dataclass(frozen=True)
class Band:
    """A figure and its limits, arrays of one shape."""

    value: Floats
    lower: Floats
    upper: Floats


@dataclass(frozen=True)
class Weibull:
    """A fitted life. `scale` in the units of service; the edge holds (k, b) of the region."""

    shape: float
    scale: float
    log_likelihood: float
    confidence: float
    edge: tuple[Floats, Floats] = field(repr=False)
    unit: float = field(repr=False)  # b is reckoned with service in this unit

    def surviving(self, served: ArrayLike) -> Band:
        """The share of parts that serve longer than this: 0 to 1."""
        x = self._x(served)
        return self._band(lambda k, b: np.exp(-_hazard(x, k, b)), np.shape(served))

    def failing(self, served: ArrayLike, more: ArrayLike) -> Band:
        """The chance that a part which has served so long fails within so much more: 0 to 1."""
        age = np.asarray(served, dtype=np.float64)
        until = age + np.asarray(more, dtype=np.float64)

        now, then = self._x(age), self._x(until)

        def chance(k: Floats, b: Floats) -> Floats:
            found: Floats = -np.expm1(_hazard(now, k, b) - _hazard(then, k, b))
            return found

        return self._band(chance, np.shape(until))

    def lasting(self, share_failed: ArrayLike) -> Band:
        """The service by which this share of parts (between 0 and 1) has failed."""
        w = np.log(-np.log1p(-np.asarray(share_failed, dtype=np.float64)))
        return self._band(lambda k, b: self.unit * np.exp((w[..., None] + b) / k), np.shape(w))

    def shape_limits(self) -> tuple[float, float]:
        """Limits of the shape. Above 1 parts wear out, at 1 they fail by chance alone."""
        return float(self.edge[0].min()), float(self.edge[0].max())

    def scale_limits(self) -> tuple[float, float]:
        """Limits of the scale: the service by which 63 % have failed."""
        ends = self.unit * np.exp(self.edge[1] / self.edge[0])
        return float(ends.min()), float(ends.max())

    def _x(self, served: ArrayLike) -> Floats:
        with np.errstate(divide="ignore"):  # ln 0: no service, no hazard
            x: Floats = np.log(np.asarray(served, dtype=np.float64) / self.unit)
        return x[..., None]

    def _band(self, figure: Callable[[Floats, Floats], Floats], shape: tuple[int, ...]) -> Band:
        k = np.concatenate(([self.shape], self.edge[0]))
        b = np.concatenate(([self.shape * np.log(self.scale / self.unit)], self.edge[1]))
        found = figure(k, b)
        value = found[..., 0].reshape(shape)
        return Band(value, found.min(axis=-1).reshape(shape), found.max(axis=-1).reshape(shape))


def _hazard(x: Floats, k: Floats, b: Floats) -> Floats:
    with np.errstate(over="ignore"):
        hazard: Floats = np.exp(k * x - b)
    return hazard


def fit(data: Lives, confidence: float = 0.95) -> Weibull | None:
    """The life by maximum likelihood; None where the data fix no shape.

    None with fewer than five failures in service, or when all failed at one and the same service
    beyond which no part has come. Relative error of the shape below 1e-10.
    """
    used = data.used()
    if not data.enough:
        return None
    unit = float(used.served.max())
    times, row = np.unique(used.served / unit, return_inverse=True)
    x = np.log(times)  # 0 at the longest, below it otherwise
    n = np.bincount(row).astype(np.float64)
    d = np.bincount(row, weights=used.failed).astype(np.float64)
    if (d[:-1] == 0).all():
        return None
    sample = _Sample(x, n, d)
    k = sample.shape()
    b = float(np.log((n * np.exp(k * x)).sum() / d.sum()))
    best = float(sample.log_likelihood(np.array([k]), np.array([b]))[0])
    edge = sample.edge(k, b, best - float(chi2.ppf(confidence, 1)) / 2)
    back = float((d * x).sum()) + d.sum() * np.log(unit)  # densities per unit of service
    return Weibull(k, unit * float(np.exp(b / k)), float(best - back), confidence, edge, unit)


@dataclass(frozen=True)
class _Sample:
    """Distinct x = ln t, with the number of parts and of failures at each."""

    x: Floats
    n: Floats
    d: Floats

    def log_likelihood(self, k: Floats, b: Floats) -> Floats:
        """Up to the sum of ln t over failures; one figure for each (k, b)."""
        failures = self.d.sum()
        with np.errstate(over="ignore"):
            hazard = np.exp(np.multiply.outer(k, self.x) - b[..., None]) @ self.n
        found: Floats = failures * (np.log(k) - b) + k * float((self.d * self.x).sum()) - hazard
        return found

    def shape(self) -> float:
        """The root of 1/k + mean x of failures - mean x of all weighted by exp(k x): falls in k."""
        of_failures = float((self.d * self.x).sum() / self.d.sum())

        def score(k: float) -> float:
            weight = self.n * np.exp(k * self.x)
            return 1 / k + of_failures - float((weight * self.x).sum() / weight.sum())

        low, high = 1e-3, 1.0
        while score(low) < 0:
            low /= 10
        while score(high) > 0:
            high *= 2
        return float(brentq(score, low, high, xtol=1e-13, rtol=1e-12))

    def edge(self, k: float, b: float, level: float) -> tuple[Floats, Floats]:
        """Where the log-likelihood has fallen to the level, along rays from the best."""
        angle = np.arange(_RAYS) * (2 * np.pi / _RAYS)
        stretch = np.linalg.inv(np.linalg.cholesky(self._information(k, b)).T)
        to_k, to_b = stretch @ np.vstack((np.cos(angle), np.sin(angle)))
        with np.errstate(divide="ignore"):
            # Before k is 0 the log-likelihood has fallen without end.
            last = np.where(to_k < 0, (k - k * 1e-12) / -to_k, np.inf)
        far = np.minimum(2.0, last)

        while (inside := self.log_likelihood(k + far * to_k, b + far * to_b) > level).any():
            far = np.where(inside, np.minimum(far * 2, last), far)
        for _ in range(_STEPS):
            # Concave along a ray, so from outside each step ends outside, and nearer.
            value, slope = self._along(k + far * to_k, b + far * to_b, to_k, to_b)
            step = (value - level) / slope
            far = far - step
            if (np.abs(step) <= 1e-11 * far).all():
                return k + far * to_k, b + far * to_b
        raise RuntimeError("the limits of a life were not found")

    def _along(self, k: Floats, b: Floats, to_k: Floats, to_b: Floats) -> tuple[Floats, Floats]:
        """The log-likelihood at each (k, b), and how fast it changes towards (to_k, to_b)."""
        failures, of_x = self.d.sum(), float((self.d * self.x).sum())
        hazard = np.exp(np.multiply.outer(k, self.x) - b[:, None])
        all_of_it, times_x = hazard @ self.n, hazard @ (self.n * self.x)
        value: Floats = failures * (np.log(k) - b) + k * of_x - all_of_it
        slope: Floats = to_k * (failures / k + of_x - times_x) + to_b * (all_of_it - failures)
        return value, slope

    def _information(self, k: float, b: float) -> Floats:
        weight = self.n * np.exp(k * self.x - b)
        cross = float((weight * self.x).sum())
        kk = float(self.d.sum()) / k**2 + float((weight * self.x**2).sum())
        return np.array([[kk, -cross], [-cross, float(weight.sum())]])
