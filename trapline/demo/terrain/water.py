"""Creeks, lakes and the marsh: the surface that water leaves, and where it stands."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter, label

from .drainage import Drainage, Ints, route
from .frame import Floats
from .noise import fractal
from .outline import Mask
from .relief import above_channel

CREEK_FROM_KM2 = 1.1  # catchment that keeps a creek running all summer; of our own making
LAKE_MIN_M, LAKE_MIN_HA = 0.4, 3.5


@dataclass(frozen=True)
class Water:
    """Grids of one shape. Heights in metres, catchments in km²."""

    surface: Floats  # ground, and the level of lakes; never rises along `receiver`
    depth: Floats  # of standing water, 0 on land
    lakes: NDArray[np.int32]  # 0 land, 1.. lakes by size
    creek: Mask
    marsh: Mask
    catchment: Floats
    above: Floats  # height above the creek or lake that the cell drains to
    receiver: Ints  # flat index of the cell downstream, -1 off the grid


def slope_deg(height: Floats, cell_m: float) -> Floats:
    """Slope in degrees."""
    down, across = np.gradient(height, cell_m)
    return np.asarray(np.degrees(np.arctan(np.hypot(down, across))))


def settle(rng: np.random.Generator, height: Floats, cell_m: float) -> Water:
    """Fill the basins, keep the larger as lakes, cut the creeks, and find the wet flats."""
    water = route(height)
    km2 = water.gather(np.full(height.size, (cell_m / 1000) ** 2))
    depth = water.filled - height
    lakes = number_lakes(depth > LAKE_MIN_M, cell_m)
    depth = np.where(lakes > 0, depth, 0.0)
    creek = (km2 >= CREEK_FROM_KM2) & (lakes == 0)
    surface = _cut(water, km2, creek)
    above = above_channel(water, (km2 >= CREEK_FROM_KM2) | (lakes > 0))
    wet = 0.9 * fractal(rng, height.shape, cell_m, longest_m=1800, slope=1.7)
    damp = gaussian_filter(slope_deg(surface, cell_m), 1.2) + 0.4 * np.maximum(above, 0)
    marsh = _large((damp < 1.9 + wet) & (lakes == 0), cell_m, 14.0)
    return Water(surface, depth, lakes, creek, marsh, km2, above, water.receiver)


def number_lakes(standing: Mask, cell_m: float) -> NDArray[np.int32]:
    """Lakes numbered from 1 by size; parts of the mask under `LAKE_MIN_HA` are 0, land."""
    parts, count = label(standing)
    sizes = np.bincount(parts.ravel(), minlength=count + 1)
    sizes[0] = 0
    order = np.argsort(-sizes, kind="stable")
    rank = np.zeros(count + 1, dtype=np.int32)
    large = [part for part in order.tolist() if sizes[part] * cell_m**2 / 1e4 >= LAKE_MIN_HA]
    rank[large] = np.arange(1, len(large) + 1)
    return np.asarray(rank[parts], dtype=np.int32)


def _large(mask: Mask, cell_m: float, least_ha: float) -> Mask:
    """The mask without its parts under `least_ha`."""
    parts, count = label(mask)
    sizes = np.bincount(parts.ravel(), minlength=count + 1) * cell_m**2 / 1e4
    sizes[0] = 0
    return np.asarray(sizes[parts] >= least_ha)


def _cut(water: Drainage, km2: Floats, creek: Mask) -> Floats:
    """The filled heights with creek beds let in, still never rising downstream."""
    cut = water.filled - np.where(creek, 0.5 * np.minimum(km2, 150.0) ** 0.35, 0.0)
    flat = cut.ravel()
    for level in water.slices[1:]:
        flat[level] = np.maximum(flat[level], flat[water.receiver[level]])
    return flat.reshape(water.shape)
