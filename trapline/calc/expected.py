"""What a member's looks were to give, had others made them: expected against observed.

Looks are compared within a stratum (a line, a kind of device, a month, the species aimed at). A
member's own looks are left out of what is expected of them. Exposure is time in service with half
of each disturbed interval (Nelson and Clark 1973, J. Mammal. 54:295-298).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from trapline.calc.clock import Ints
from trapline.calc.effort import Floats

# Below so many expected events a ratio says nothing; common practice, no source.
FEWEST_EXPECTED = 1.0


@dataclass(frozen=True)
class Expected:
    """Of one member: events observed and expected in comparable strata, and the exposure in those
    and in strata where nobody else looked."""

    observed: float
    expected: float
    nights: float
    alone_nights: float

    @property
    def tells(self) -> bool:
        """Whether enough was to be expected for a ratio."""
        return self.expected >= FEWEST_EXPECTED


def expected(
    member: ArrayLike, stratum: ArrayLike, nights: ArrayLike, events: ArrayLike
) -> dict[int, Expected]:
    """Observed and expected by member. All four have one entry a member and stratum.

    ValueError names the field that does not fit.
    """
    who, where = (np.asarray(one, dtype=np.int64) for one in (member, stratum))
    exposed, hit = (np.asarray(one, dtype=np.float64) for one in (nights, events))
    if not (who.shape == where.shape == exposed.shape == hit.shape):
        raise ValueError("nights: as many as members are needed")
    if (exposed < 0).any() or (hit < 0).any():
        raise ValueError("nights: 0 or more is needed")
    if not len(who):
        return {}
    count = int(where.max()) + 1
    others_nights = _summed(where, exposed, count)[where] - exposed
    others_hit = _summed(where, hit, count)[where] - hit
    shared = others_nights > 1e-9
    rate = np.divide(others_hit, others_nights, out=np.zeros_like(others_hit), where=shared)
    found = {}
    for one in np.unique(who):
        mine = who == one
        told = mine & shared
        found[int(one)] = Expected(
            observed=float(hit[told].sum()),
            expected=float((rate * exposed)[told].sum()),
            nights=float(exposed[told].sum()),
            alone_nights=float(exposed[mine & ~shared].sum()),
        )
    return found


def _summed(where: Ints, values: Floats, count: int) -> Floats:
    return np.asarray(np.bincount(where, values, count), dtype=np.float64)
