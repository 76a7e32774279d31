"""Parts' lives as they were counted: how long each served, and whether it then failed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

# Fewer failures than this say nothing of a curve's form: counts only, inspect each season.
FEWEST_FAILURES = 5


@dataclass(frozen=True)
class Lives:
    """One row a part: `served` nights, springings or catches (0 or more), and whether it `failed`.

    A part that still serves, was lost or was put away whole is a survivor: it is right-censored.
    Build it with `lives`, which checks this.
    """

    served: Floats
    failed: Flags

    @property
    def failures(self) -> int:
        """Parts that failed in service. One that failed before any service is not among them."""
        return int((self.failed & (self.served > 0)).sum())

    @property
    def failed_unused(self) -> int:
        """Parts that failed without having served: bad when they came, no matter of wear."""
        return int((self.failed & (self.served == 0)).sum())

    @property
    def survivors(self) -> int:
        """Parts that have not failed."""
        return int((~self.failed).sum())

    @property
    def total(self) -> float:
        """The service of all parts together."""
        return float(self.served.sum())

    @property
    def enough(self) -> bool:
        """Whether a curve may be drawn."""
        return self.failures >= FEWEST_FAILURES

    def used(self) -> Lives:
        """Only the parts that have served: the others say nothing of wear."""
        there = self.served > 0
        return Lives(self.served[there], self.failed[there])


def lives(served: ArrayLike, failed: ArrayLike) -> Lives:
    """Lives from arrays of one length; ValueError that names the field otherwise."""
    time = np.atleast_1d(np.asarray(served, dtype=np.float64))
    event = np.atleast_1d(np.asarray(failed, dtype=np.bool_))
    if event.shape != time.shape or time.ndim != 1:
        raise ValueError("failed: as many as served are needed")
    if not (np.isfinite(time) & (time >= 0)).all():
        raise ValueError("served: 0 or more are needed")
    return Lives(time, event)
