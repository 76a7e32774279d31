"""A set changes while nobody touches it: snow under a loop, water over a device.

Estimates: snow drifts and settles, water is not level along a line. Whoever shows one says
"measure here". Depths and heights in metres; nan where something was not measured.
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

BURIES_M = 0.15  # a fall that buries a set on the ground; common practice, no source


def change(then: Floats, now: Floats, added: float = 0.0) -> Floats:
    """By how much a depth or level has changed; nan where one of the two is not known, unless

    only the `added` change is asked about and nothing was ever read: then that alone.
    """
    known = now - then
    return np.where(np.isnan(known), added if added else np.nan, known + added)


def height_now(height: Floats, snow_change: Floats) -> Floats:
    """The height of a loop's bottom above the first surface beneath: as set, less the snow's rise.

    An unknown change counts as none: what was measured last is the best that is known.
    """
    return height - np.nan_to_num(snow_change)


def depth_now(depth: Floats, level_change: Floats) -> Floats:
    """The water over a device, as measured and with the level's change since (unknown: none)."""
    return depth + np.nan_to_num(level_change)
