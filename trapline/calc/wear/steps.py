"""The survival of parts step by step, without a curve's form: Kaplan and Meier's estimate."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import CensoredData, ecdf, norm

from trapline.calc.wear.exposure import Floats, Lives


@dataclass(frozen=True)
class Steps:
    """One row a service at which parts failed.

    `surviving` is the estimate of Kaplan and Meier (1958) after it, `error` Greenwood's standard
    error, the limits Greenwood's on the scale of log(-log): they stay between 0 and 1.
    """

    served: Floats
    at_risk: NDArray[np.int64]
    failures: NDArray[np.int64]
    surviving: Floats
    error: Floats
    lower: Floats
    upper: Floats

    @property
    def median(self) -> float | None:
        """The first service at which half or fewer survive; None while more do."""
        half = np.flatnonzero(self.surviving <= 0.5)
        return float(self.served[half[0]]) if half.size else None


def steps(data: Lives, confidence: float = 0.95) -> Steps:
    """The estimate over the parts that have served. Without a failure it has no rows."""
    used = data.used()
    served, failed = used.served, used.failed
    at = np.unique(served[failed])
    left = np.sort(served)
    at_risk = (len(left) - np.searchsorted(left, at, side="left")).astype(np.int64)
    gone = np.searchsorted(np.sort(served[failed]), at, side="right")
    failures = np.diff(gone, prepend=0).astype(np.int64)
    if not at.size:
        none = np.zeros(0)
        return Steps(at, at_risk, failures, none, none, none, none)
    curve = ecdf(CensoredData(uncensored=served[failed], right=served[~failed])).sf
    surviving = curve.evaluate(at)
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(np.cumsum(failures / (at_risk * (at_risk - failures))))
        stretch = np.exp(norm.ppf((1 + confidence) / 2) * root / np.log(surviving))
        error, lower, upper = surviving * root, surviving ** (1 / stretch), surviving**stretch
    none_left = surviving == 0  # then no error can be stated
    error, lower, upper = (np.where(none_left, 0.0, one) for one in (error, lower, upper))
    return Steps(at, at_risk, failures, surviving, error, lower, upper)
