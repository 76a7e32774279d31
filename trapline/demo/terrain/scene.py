"""What the later steps of the build share: the ground, its water and what grows on it."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt

from .cover import Cover, Kind
from .frame import Floats, Frame
from .outline import Mask
from .shores import Body, Creek
from .water import Water, slope_deg
from .ways import Ground, pool


@dataclass(frozen=True)
class Scene:
    """Grids in cells, lines in metres. `creeks[0]` is the main creek."""

    frame: Frame
    water: Water
    cover: Cover
    creeks: list[Creek]
    lakes: list[Body]
    marshes: list[Body]
    ground: Ground
    slope: Floats  # degrees
    burden: Floats  # of the way-finding grid: how much slower than open ground

    @property
    def main(self) -> Creek:
        return self.creeks[0]

    def at(self, grid: NDArray[Any], xy: Floats) -> NDArray[Any]:
        """A grid's values under points (..., 2)."""
        return np.asarray(grid[self.frame.cells(xy)])


def distance_m(mask: Mask, cell_m: float) -> Floats:
    """Metres from each cell to the nearest cell of the mask (far away where there is none)."""
    if not mask.any():
        return np.full(mask.shape, 1e6)
    return np.asarray(distance_transform_edt(~mask)) * cell_m


def lay_out(
    frame: Frame,
    water: Water,
    cover: Cover,
    creeks: list[Creek],
    lakes: list[Body],
    marshes: list[Body],
    deadfall: Floats,
) -> Scene:
    """The scene, with the burden of brush, bog, banks and open water on whoever walks.

    `deadfall` (a random field of deviation 1) makes ways wander as they do in real forest.
    """
    cell = frame.cell_m
    wet = water.lakes > 0
    slow = 1 + 0.7 * cover.trees + 0.9 * (cover.kind == Kind.MARSH)
    slow = slow + 3.0 * (distance_m(wet, cell) < 65) + 150 * wet
    slow = slow + 2.0 * (water.creek & (water.catchment > 12))
    slow = slow * np.exp(0.4 * deadfall)
    return Scene(
        frame,
        water,
        cover,
        creeks,
        lakes,
        marshes,
        Ground(water.surface, wet, cell),
        slope_deg(water.surface, cell),
        pool(slow),
    )
