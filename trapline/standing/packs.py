"""What `Tally.pack` holds, read as arrays: an interval is its nights and `Interval.told`."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from trapline.calc.clock import Ints
from trapline.calc.effort import Floats, Outcome

_ROW = np.dtype([("nights", ">f8"), ("told", ">i4")])
_HELD, _DATED = 8, 5
_LEAST = 1e-9  # an interval has a length


@dataclass(frozen=True)
class Looks:
    """Intervals as arrays: nights, outcome (`calc.effort.Outcome`), the nights in service of a
    dated failing (else nan; its nights are then no more than these), whether an animal was found,
    the day of the later look (since 1970)."""

    nights: Floats
    served: Floats
    outcome: Ints
    held: np.ndarray
    day: Ints


def unpack(packs: Iterable[bytes]) -> Looks:
    """The intervals of some packs, one after the other."""
    rows = np.frombuffer(b"".join(packs), dtype=_ROW)
    told = rows["told"].astype(np.int64)
    nights = rows["nights"].astype(np.float64)
    dated = (told & 7) == _DATED
    return Looks(
        nights=np.where(dated, np.maximum(nights, _LEAST), nights),
        outcome=np.where(dated, Outcome.OUT_OF_SERVICE, told & 7),
        served=np.where(dated, nights, np.nan),
        held=(told & _HELD) > 0,
        day=told >> 4,
    )


def length(pack: bytes) -> int:
    """How many intervals a pack holds."""
    return len(pack) // _ROW.itemsize
