"""Ways over the ground: least-cost paths by walking time.

Walking pace is Tobler's hiking function, W = 6 exp(-3.5 |S + 0.05|) km/h (Tobler 1993, NCGIA
Technical Report 93-1), taken as the mean of there and back so that a way costs the same both ways.
"""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from .drainage import grid_edges
from .frame import Floats
from .outline import Mask, along, length, soften, thin

STEP = 2  # cells of the terrain to one cell of the way-finding grid


def tobler_kmh(slope: NDArray[np.float64]) -> Floats:
    """Walking speed in km/h on a slope (rise over run, above 0 uphill)."""
    return np.asarray(6 * np.exp(-3.5 * np.abs(slope + 0.05)))


class Ground:
    """A graph of neighbouring cells on a grid `STEP` times coarser than the terrain."""

    def __init__(self, surface: Floats, lakes: Mask, cell_m: float) -> None:
        self.height = pool(surface)
        self.lakes = lakes
        self.cell_m = cell_m * STEP
        rows, cols = self.height.shape
        self.cols = cols
        self.a, self.b = grid_edges(rows, cols)
        hop = np.where((self.b - self.a == 1) | (self.b - self.a == cols), 1.0, np.sqrt(2))
        length = hop * self.cell_m
        slope = (self.height.ravel()[self.b] - self.height.ravel()[self.a]) / length
        there, back = tobler_kmh(slope), tobler_kmh(-slope)
        self.hours = length / 1000 * 0.5 * (1 / there + 1 / back)

    def cell(self, xy: Floats) -> int:
        """The flat index of the cell under a point in metres."""
        last = np.array(self.height.shape)[::-1] - 1
        col, row = np.clip(xy // self.cell_m, 0, last).astype(int).tolist()
        return int(row * self.cols + col)

    def way(self, stops: list[Floats], burden: Floats, *, spread: float = 0.0) -> Floats:
        """The quickest way through `stops` (points in metres), smoothed; shape (n, 2).

        `burden` multiplies each cell's time. With `spread` above 0 every leg makes the ground
        within 250 m of it that much slower for the next, so that a loop does not double back.
        """
        burden = burden.copy()
        legs: list[Floats] = []
        for start, end in pairwise(stops):
            cells = self._leg(self.cell(start), self.cell(end), burden.ravel())
            leg = (np.stack([cells % self.cols, cells // self.cols], axis=-1) + 0.5) * self.cell_m
            leg[0], leg[-1] = start, end
            legs.append(leg if not legs else leg[1:])
            if spread > 0:
                self._wear(burden, leg, spread)
        return self._drawn(np.vstack(legs))

    def _drawn(self, way: Floats) -> Floats:
        """The way with its corners rounded, as far as that does not lead it through a lake."""
        last = np.array(self.lakes.shape)[::-1] - 1
        for sigma in (1.5, 0.9, 0.5):
            line = thin(soften(way, sigma), 4.0)
            even = along(line, np.arange(0, length(line), 10.0))
            col, row = np.clip(even * STEP // self.cell_m, 0, last).astype(int).T
            if not self.lakes[row, col].any():
                break
        return line

    def _leg(self, start: int, end: int, burden: Floats) -> NDArray[np.intp]:
        weight = self.hours * (burden[self.a] + burden[self.b]) / 2
        n = burden.size
        graph = csr_matrix((weight, (self.a, self.b)), shape=(n, n))
        _, before = dijkstra(graph, directed=False, indices=start, return_predecessors=True)
        cells = [end]
        while cells[-1] != start:
            cells.append(int(before[cells[-1]]))
        return np.array(cells[::-1], dtype=np.intp)

    def _wear(self, burden: Floats, leg: Floats, spread: float) -> None:
        rows, cols = (leg[:, 1] // self.cell_m).astype(int), (leg[:, 0] // self.cell_m).astype(int)
        reach = int(250 / self.cell_m) + 1
        near = np.zeros(burden.shape, dtype=bool)
        for row, col in zip(rows[4:-4].tolist(), cols[4:-4].tolist(), strict=True):
            near[max(row - reach, 0) : row + reach + 1, max(col - reach, 0) : col + reach + 1] = (
                True
            )
        burden[near] *= 1 + spread


def pool(field: Floats) -> Floats:
    """The mean of each STEP x STEP block of cells."""
    rows, cols = field.shape
    return np.asarray(field.reshape(rows // STEP, STEP, cols // STEP, STEP).mean(axis=(1, 3)))
