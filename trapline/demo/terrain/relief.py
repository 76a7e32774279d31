"""The height field: a long valley between dissected ridges, worn down by running water.

The rough form is drawn by hand (one valley falling to the south-east, ridges either side), then
worn by the stream-power law dh/dt = -K A^m S (n = 1, m = 0.5), solved implicitly from the mouth
upwards: the scheme of Braun & Willett 2013, Geomorphology 180-181:170-179, and smoothed by
hillslope creep. Coarse grids first, so that a large valley costs little. Last the larger valleys
get the flat floor that ice and gravel leave in such country.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter, zoom

from .drainage import Drainage, route
from .drift import leave_drift
from .frame import Floats
from .noise import fractal

FALL_M_PER_KM = 10.0
FLOOR_M = 700.0
RIDGE_M = 560.0
FLOOR_FROM_KM2 = 5.0  # catchment from which a valley has a floor of its own


def rough(rng: np.random.Generator, side: int, cell_m: float) -> Floats:
    """The first form, metres, on a square of `side` cells."""
    span = side * cell_m / 1000
    axis = (np.arange(side) + 0.5) / side * span - span / 2
    x, y = np.meshgrid(axis, axis)
    turn = np.radians(rng.uniform(16, 30))
    along, across = x * np.cos(turn) + y * np.sin(turn), y * np.cos(turn) - x * np.sin(turn)
    phase = rng.uniform(0, 2 * np.pi)
    bend = 1.6 * np.sin(along / 3.6 + phase) + 0.6 * np.sin(along / 1.6 + 2 * phase)
    away = across - bend
    wide = np.where(away > 0, 5.6, 4.8) * (1 + 0.15 * np.sin(along / 5 + phase))
    ridge = RIDGE_M * (1 - np.exp(-((np.abs(away) / wide) ** 1.5)))
    broad = fractal(rng, (side, side), cell_m, longest_m=8000, slope=1.9)
    return np.asarray(
        FLOOR_M - FALL_M_PER_KM * along + ridge * (1 + 0.26 * broad) + 26 * broad, dtype=np.float64
    )


def wear(
    rng: np.random.Generator,
    height: Floats,
    cell_m: float,
    *,
    rounds: int,
    strength: float,
    creep: float,
) -> Floats:
    """`rounds` steps of stream-power wear and creep; heights in metres.

    `strength` is K dt in 1/m^(2m-1) per step (m = 0.5, so without unit), `creep` the standard
    deviation in cells of the blur that stands for hillslope diffusion. A metre of roughness a
    step keeps the eight directions of the grid out of the flats.
    """
    worn = height.copy()
    for _ in range(rounds):
        water = route(worn + rng.normal(0, 1.2, worn.shape))
        worn = _incise(water, cell_m, strength).reshape(height.shape)
        if creep > 0:
            worn = gaussian_filter(worn, creep, mode="nearest")
    return worn


def _incise(water: Drainage, cell_m: float, strength: float) -> Floats:
    area = water.gather(np.full(water.receiver.size, cell_m**2)).ravel()
    cols = water.shape[1]
    cells = np.arange(water.receiver.size)
    hop = np.abs(cells - water.receiver)
    length = np.where((hop == 1) | (hop == cols), cell_m, cell_m * np.sqrt(2))
    factor = strength * np.sqrt(area) / length
    worn = water.filled.ravel().copy()
    for level in water.slices[1:]:
        below = worn[water.receiver[level]]
        f = factor[level]
        worn[level] = (worn[level] + f * below) / (1 + f)
    return worn


def above_channel(water: Drainage, channel: NDArray[np.bool_]) -> Floats:
    """Height of each cell above the first channel (or edge) cell downstream of it, metres."""
    base = water.filled.ravel().copy()
    is_channel = channel.ravel()
    for level in water.slices[1:]:
        hill = level[~is_channel[level]]
        base[hill] = base[water.receiver[hill]]
    return (water.filled.ravel() - base).reshape(water.shape)


def floors(height: Floats, cell_m: float) -> Floats:
    """The larger valleys widened: ground near a channel's level is laid flatter, ridges stay.

    Height x above the channel becomes x - w (1 - exp(-x / w)), with w growing with the catchment.
    """
    water = route(height)
    area_km2 = water.gather(np.full(height.size, (cell_m / 1000) ** 2))
    above = above_channel(water, area_km2 >= FLOOR_FROM_KM2)
    reach = np.where(area_km2 >= FLOOR_FROM_KM2, np.minimum(area_km2, 120.0) ** 0.5, 0.0).ravel()
    for level in water.slices[1:]:
        hill = level[reach[level] == 0]
        reach[hill] = reach[water.receiver[hill]]
    depth = gaussian_filter(6 + 5.0 * reach.reshape(height.shape), 900 / cell_m, mode="nearest")
    return np.asarray(water.filled - depth * (1 - np.exp(-above / depth)))


def refine(height: Floats, side: int) -> Floats:
    """The same field on a finer grid of `side` cells, cubic."""
    return np.asarray(zoom(height, side / height.shape[0], order=3, mode="nearest", grid_mode=True))


def landscape(rng: np.random.Generator, side: int, cell_m: float, margin: int) -> Floats:
    """Heights in metres on a square of `side` cells (a multiple of 4), its basins still dry.

    `margin` cells on every side lie outside the map and are only there to drain.
    """
    coarse = rough(rng, side // 4, cell_m * 4)
    coarse = wear(rng, coarse, cell_m * 4, rounds=18, strength=0.1, creep=0.38)
    middle = refine(coarse, side // 2)
    middle += 4.5 * fractal(rng, middle.shape, cell_m * 2, longest_m=1500, slope=1.6)
    middle = wear(rng, middle, cell_m * 2, rounds=3, strength=0.08, creep=0.6)
    middle = gaussian_filter(floors(middle, cell_m * 2), 0.8, mode="nearest")
    middle = leave_drift(rng, middle, cell_m * 2, margin // 2)
    fine = refine(middle, side)
    fine += 0.8 * fractal(rng, fine.shape, cell_m, longest_m=600, slope=1.4)
    return fine
