"""Whole counts that gain the most within limits, exactly: mixed-integer optimisation by HiGHS."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from trapline.calc.load.kinds import Floats

# Sums of decimal masses are not exact in binary: 10 x 0.7 kg fits into 7 kg.
SLACK = 1e-6


@dataclass(frozen=True)
class Counting:
    """Columns of counts: what one of each gains, and uses of each limit.

    gain (n,); uses (m, n); limits (m,), infinite for none; most (n,), finite.
    """

    gain: Floats
    uses: Floats
    limits: Floats
    most: Floats

    def within(self, counts: Floats) -> bool:
        """Whether whole counts keep every limit."""
        used = self.uses @ counts
        room = self.limits + SLACK * np.maximum(1.0, np.abs(self.limits))
        return bool((used <= room).all() and (counts >= 0).all() and (counts <= self.most).all())


def best(problem: Counting, other_than: tuple[Floats, Floats] | None = None) -> Floats | None:
    """The counts of the greatest gain; None where no counts keep the limits.

    other_than: (groups, totals): groups (g, n) of 0 and 1 sum counts; at least one sum differs
    from its total. RuntimeError if the solver ends without an answer.
    """
    n = len(problem.gain)
    tied = np.isfinite(problem.limits)
    rows, upper = problem.uses[tied], problem.limits[tied]
    gain, most = problem.gain, problem.most
    if other_than is not None:
        rows, upper, extra = _unlike(rows, upper, most, *other_than)
        gain, most = np.append(gain, np.zeros(extra)), np.append(most, np.ones(extra))
    found = milp(
        -gain,
        integrality=np.ones(len(gain)),
        bounds=Bounds(np.zeros(len(most)), most),
        constraints=[LinearConstraint(rows, -np.inf, upper)] if len(upper) else None,
        options={"mip_rel_gap": 0.0},
    )
    if found.status == 2:
        return None
    if found.x is None:
        raise RuntimeError(f"the solver ended without an answer: {found.message}")
    counts: Floats = np.round(found.x[:n])
    return counts


def _unlike(
    rows: Floats, upper: Floats, most: Floats, groups: Floats, totals: Floats
) -> tuple[Floats, Floats, int]:
    """Rows that make at least one sum fall below, or rise above, its total.

    For each group two switches: on, they force sum <= total - 1 or sum >= total + 1.
    """
    g, width = len(groups), rows.shape[1]
    reach = groups @ most
    below = np.hstack((groups, np.diag(reach - totals + 1), np.zeros((g, g))))
    above = np.hstack((-groups, np.zeros((g, g)), np.diag(totals + 1)))
    one = np.hstack((np.zeros((1, width)), -np.ones((1, 2 * g))))
    all_rows = np.vstack((np.hstack((rows, np.zeros((len(rows), 2 * g)))), below, above, one))
    limits = np.concatenate((upper, reach, np.zeros(g), [-1.0]))
    return all_rows, limits, 2 * g
