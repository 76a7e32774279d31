"""Service time, and the rate at which devices are disturbed, from checks of a line.

A check closes an interval of n nights (elapsed hours / 24). A device can be disturbed
once: by a target animal, a non-target one, or sprung empty. While it is undisturbed,
each cause j comes at a constant rate L_j; L is their sum. The likelihood of an interval
is exp(-L n) undisturbed, p_j (1 - exp(-L n)) disturbed by j with p_j = L_j / L, and
exp(-L c) where snow or water took the device out of service at a known c < n.

This is the multinomial-exponential model of fisheries (Rothschild 1967; Etienne et al.
2013). With equal intervals it is the index of Linn and Downton as given by Fitzgerald,
Efford and Karl (2004), and without other springings Caughley's (1977). The classic
half-interval correction (Nelson and Clark 1973) is its approximation. It takes all sets
for alike; `rates` has the effect of unlike sets and the limits.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq

from trapline.calc.clock import DAY_US, Ints

Floats = NDArray[np.float64]


class Outcome(IntEnum):
    """What a check found of the device's service since the last one."""

    UNDISTURBED = 0
    TARGET = 1
    NON_TARGET = 2
    SPRUNG_EMPTY = 3
    OUT_OF_SERVICE = 4


DISTURBED = (Outcome.TARGET, Outcome.NON_TARGET, Outcome.SPRUNG_EMPTY)


def is_disturbed(outcome: Ints) -> NDArray[np.bool_]:
    """Which of these are of DISTURBED."""
    hit: NDArray[np.bool_] = (outcome >= DISTURBED[0]) & (outcome <= DISTURBED[-1])
    return hit


def service_nights(from_us: ArrayLike, to_us: ArrayLike) -> Floats:
    """Trap-nights between instants (int64 microseconds): elapsed hours / 24, never a
    count of midnights."""
    elapsed = np.asarray(to_us, dtype=np.int64) - np.asarray(from_us, dtype=np.int64)
    return elapsed / DAY_US


@dataclass(frozen=True)
class Intervals:
    """Checked intervals, one per row.

    `nights` > 0; `outcome` of the class above; `served` are the nights in service of an
    out-of-service interval (0 <= c < n), NaN where nobody knows when it failed; `set_of`
    numbers the set. Build it with `intervals`, which checks this.
    """

    nights: Floats
    outcome: Ints
    served: Floats
    set_of: Ints

    def of(self, outcome: Outcome) -> int:
        """How many intervals ended so."""
        return int((self.outcome == outcome).sum())

    @cached_property
    def hit(self) -> NDArray[np.bool_]:
        """Which intervals a disturbance ended."""
        return is_disturbed(self.outcome)

    @cached_property
    def disturbed(self) -> Floats:
        """Nights of each disturbed interval."""
        return self.nights[self.hit]

    @cached_property
    def undated(self) -> int:
        """Out-of-service intervals without a date: left out of every rate."""
        return int(np.isnan(self.served[self.outcome == Outcome.OUT_OF_SERVICE]).sum())

    @cached_property
    def owners(self) -> tuple[int, Ints]:
        """How many sets there are, and the place of each interval's among them."""
        if not len(self.set_of):
            return 0, self.set_of
        # Intervals mostly come set by set: only the heads of such runs are sorted.
        begins = np.flatnonzero(np.diff(self.set_of, prepend=self.set_of[0] - 1))
        sets, owner = np.unique(self.set_of[begins], return_inverse=True)
        return len(sets), np.repeat(owner, np.diff(begins, append=len(self.set_of)))

    @cached_property
    def quiet_nights(self) -> float:
        """Nights known to have passed undisturbed."""
        quiet = self.nights[self.outcome == Outcome.UNDISTURBED].sum()
        return float(quiet + np.nansum(self.served[self.outcome == Outcome.OUT_OF_SERVICE]))

    @cached_property
    def equal(self) -> EqualRates:
        """The fit that takes all sets for alike (`equal_rates`), made once."""
        return equal_rates(self)

    def in_service_throughout(self) -> Intervals:
        """The same with undated failures taken to be at the end: the other bound.

        Leaving them out can only overstate a rate, this can only understate it.
        """
        failed = (self.outcome == Outcome.OUT_OF_SERVICE) & np.isnan(self.served)
        served = np.where(failed, self.nights, self.served)
        return Intervals(self.nights, self.outcome, served, self.set_of)


def intervals(
    nights: ArrayLike,
    outcome: ArrayLike,
    served: ArrayLike | None = None,
    set_of: ArrayLike | None = None,
) -> Intervals:
    """Intervals from arrays of one length; ValueError that names the field otherwise."""
    n = np.atleast_1d(np.asarray(nights, dtype=np.float64))
    kinds = np.atleast_1d(np.asarray(outcome, dtype=np.int64))
    blank = np.full(n.shape, np.nan)
    c = blank if served is None else np.atleast_1d(np.asarray(served, dtype=np.float64))
    if set_of is None:
        sets = np.arange(len(n), dtype=np.int64)
    else:
        sets = np.atleast_1d(np.asarray(set_of, dtype=np.int64))
    for name, column in (("outcome", kinds), ("served", c), ("set_of", sets)):
        if column.shape != n.shape:
            raise ValueError(f"{name}: as many as nights are needed")
    if not (np.isfinite(n) & (n > 0)).all():
        raise ValueError("nights: more than 0 are needed")
    if not ((kinds >= min(Outcome)) & (kinds <= max(Outcome))).all():
        raise ValueError("outcome: unknown")
    dated = (kinds == Outcome.OUT_OF_SERVICE) & ~np.isnan(c)
    if not ((c[dated] >= 0) & (c[dated] <= n[dated])).all():
        raise ValueError("served: from 0 to the interval's nights are needed")
    return Intervals(n, kinds, np.where(dated, c, np.nan), sets)


@dataclass(frozen=True)
class EqualRates:
    """The fit that takes all sets for alike.

    `total` is L per night, infinite when every interval was disturbed; `by_cause` the
    L_j; `effective_nights` D / L, all quiet nights when nothing was disturbed.
    """

    total: float
    by_cause: dict[Outcome, float]
    effective_nights: float


def equal_rates(data: Intervals) -> EqualRates:
    """Maximum likelihood: p_j = d_j / D, and L the one root of
    sum over disturbed of n / (exp(L n) - 1) = quiet nights.

    Absolute error of L below 1e-12 + 4e-16 L. ValueError without a night in service.
    """
    n, quiet = data.disturbed, data.quiet_nights
    count = len(n)
    if count == 0 and quiet == 0:
        raise ValueError("nights: none in service")
    if count == 0:
        return EqualRates(0.0, dict.fromkeys(DISTURBED, 0.0), quiet)
    if quiet == 0:
        total = float("inf")
    else:
        # n / (exp(L n) - 1) lies between 1/L - n/2 - ... and 1/L, which brackets the root.
        high = count / quiet
        low = count / (quiet + float(n.sum()))
        total = float(brentq(lambda rate: _balance(rate, n, quiet), low * 0.999, high * 1.001))
    by_cause = {
        cause: (total * data.of(cause) / count if data.of(cause) else 0.0) for cause in DISTURBED
    }
    return EqualRates(total, by_cause, count / total)


def _balance(rate: float, n: Floats, quiet: float) -> float:
    with np.errstate(over="ignore"):  # a very long interval adds nothing: n / inf
        return float((n / np.expm1(rate * n)).sum() - quiet)


Variant = Literal["A", "B"]


def half_interval_nights(data: Intervals, variant: Variant) -> float:
    """Trap-nights by the classic correction of Nelson and Clark (1973).

    A takes half an interval off for every disturbed device, catches included; its rate
    falls short by x^2/12 for x = L n (2 % at 0.5, 8 % at 1). B, for comparison with old
    figures only, takes it off for sprung-empty and non-target ones, leaves target
    catches whole and leaves damaged devices out altogether.
    """
    total = float(data.nights[data.outcome != Outcome.OUT_OF_SERVICE].sum())
    if variant == "A":
        failed = data.served[data.outcome == Outcome.OUT_OF_SERVICE]
        return total + float(np.nansum(failed)) - float(data.disturbed.sum()) / 2
    others = np.isin(data.outcome, [Outcome.NON_TARGET, Outcome.SPRUNG_EMPTY])
    return total - float(data.nights[others].sum()) / 2


def worth_showing_both(rate: float, half_interval_rate: float) -> bool:
    """Whether the two differ by more than 5 % of the model's."""
    return abs(rate - half_interval_rate) > 0.05 * rate
