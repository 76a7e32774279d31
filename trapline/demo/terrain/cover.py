"""What grows where: a boreal valley's cover by height, slope, aspect and wetness.

Common practice, no source: spruce in the valley and on cool slopes, aspen and birch on the warm
lower ones, an old burn grown over with willow, shrub above the trees and open ground above that.
"""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from .frame import Floats
from .noise import fractal
from .water import Water

TREELINE_M = 1130.0


class Kind(IntEnum):
    OPEN = 0  # rock, scree and tundra above the shrubs
    SHRUB = 1
    SPRUCE = 2
    MIXED = 3  # aspen and birch among spruce
    BURN = 4
    MARSH = 5
    LAKE = 6


@dataclass(frozen=True)
class Cover:
    kind: NDArray[np.uint8]  # of Kind
    trees: Floats  # density, 0 none to 1 closed


def grow(rng: np.random.Generator, water: Water, cell_m: float) -> Cover:
    """The cover of every cell."""
    height = water.surface
    smooth = gaussian_filter(height, 2)
    southward = np.gradient(smooth, cell_m)[0]
    patch = fractal(rng, height.shape, cell_m, longest_m=1600, slope=1.5)
    broad = fractal(rng, height.shape, cell_m, longest_m=6000, slope=2.2)
    # Rows run southward, so ground that faces south falls along them.
    warm = np.clip(-southward * 2.5, -1, 1)
    line = TREELINE_M + 45 * warm + 28 * patch
    trees = np.clip((line - height) / 150, 0, 1) * np.clip(0.86 + 0.16 * patch, 0.3, 1)
    kind = np.full(height.shape, Kind.SPRUCE, dtype=np.uint8)
    kind[(warm > 0.22) & (height < TREELINE_M - 170) & (patch > -0.5)] = Kind.MIXED
    kind[trees < 0.42] = Kind.SHRUB
    kind[height > line + 95] = Kind.OPEN
    burn = (broad > 1.75) & (height < line - 60) & (water.above > 12)
    kind[burn] = Kind.BURN
    kind[water.marsh] = Kind.MARSH
    kind[water.lakes > 0] = Kind.LAKE
    thin = {Kind.OPEN: 0.0, Kind.SHRUB: 0.25, Kind.BURN: 0.2, Kind.MARSH: 0.15, Kind.LAKE: 0.0}
    for code, most in thin.items():
        trees = np.where(kind == code, np.minimum(trees, most), trees)
    return Cover(kind, trees)
