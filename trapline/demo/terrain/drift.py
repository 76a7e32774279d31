"""What the ice left: moraines across the main valley and kettles, the beds of the lakes to come."""

import numpy as np

from .drainage import NEIGHBOURS, Ints, route
from .frame import Floats

STEM_FROM_KM2 = 1.0
MORAINES = ((0.52, 12.0), (0.26, 8.0))  # (share of the stem's length from its head, rise in metres)


def leave_drift(rng: np.random.Generator, height: Floats, cell_m: float, margin: int) -> Floats:
    """Heights with two moraines on the main creek and nine kettles, all within the margin."""
    water = route(height)
    km2 = water.gather(np.full(height.size, (cell_m / 1000) ** 2))
    inner = np.zeros(height.shape, dtype=bool)
    inner[margin:-margin, margin:-margin] = True
    stem = main_stem(water.receiver, np.where(inner, km2, 0.0), STEM_FROM_KM2)
    laid = height.copy()
    for share, rise in MORAINES:
        at = int(share * len(stem))
        laid += _moraine(height.shape, cell_m, int(stem[at]), int(stem[at + 7]), rise)
    down, across = np.gradient(height, cell_m)
    rows, cols = np.nonzero((np.hypot(down, across) < 0.07) & inner & (km2 < 3))
    for _ in range(9):
        pick = int(rng.integers(len(rows)))
        _kettle(rng, laid, int(rows[pick]), int(cols[pick]), cell_m)
    return laid


def main_stem(receiver: Ints, km2: Floats, least_km2: float) -> Ints:
    """Flat cells of the largest creek, from its head down to where it leaves the area.

    `km2` is the catchment, shape of the grid, and nothing outside the area looked at.
    """
    rows, cols = km2.shape
    area = km2.ravel()
    at = int(np.argmax(area))
    stem = [at]
    while True:
        row, col = divmod(at, cols)
        above = [
            (row + dy) * cols + col + dx
            for dy, dx in NEIGHBOURS
            if 0 <= row + dy < rows and 0 <= col + dx < cols
        ]
        above = [cell for cell in above if receiver[cell] == at and area[cell] >= least_km2]
        if not above:
            return np.array(stem[::-1], dtype=np.intp)
        at = max(above, key=lambda cell: float(area[cell]))
        stem.append(at)


def _moraine(shape: tuple[int, ...], cell_m: float, at: int, ahead: int, rise: float) -> Floats:
    """A bow of drift across the valley at a creek cell, `rise` metres high, some 1.6 km wide."""
    y, x = np.mgrid[: shape[0], : shape[1]].astype(np.float64)
    row, col = divmod(at, shape[1])
    run = np.array(divmod(ahead, shape[1]), dtype=np.float64) - (row, col)
    run /= np.linalg.norm(run)
    down = (y - row) * run[0] + (x - col) * run[1]
    side = (x - col) * run[0] - (y - row) * run[1]
    bow = down * cell_m + (side * cell_m) ** 2 / 2400
    return np.asarray(rise * np.exp(-((bow / 150) ** 2) - (side * cell_m / 900) ** 4))


def _kettle(rng: np.random.Generator, height: Floats, row: int, col: int, cell_m: float) -> None:
    """Let a hollow of 90-200 m half-width and 3.5-8 m depth into `height`, in place."""
    wide = rng.uniform(90, 200) / cell_m
    long, deep = wide * rng.uniform(0.7, 1.6), rng.uniform(3.5, 8.0)
    reach = int(4 * max(wide, long)) + 1
    top, left = max(row - reach, 0), max(col - reach, 0)
    window = height[top : row + reach + 1, left : col + reach + 1]
    y, x = np.mgrid[: window.shape[0], : window.shape[1]].astype(np.float64)
    window -= deep * np.exp(-(((y + top - row) / wide) ** 2 + ((x + left - col) / long) ** 2) / 2)
