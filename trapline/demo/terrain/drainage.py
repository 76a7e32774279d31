"""Where water goes: every cell's way to the edge of the grid, and what gathers on it.

Depressions are filled to their lowest spill by a minimum spanning tree: on a grid graph whose
edge weight is the higher of its two cells, the tree's path from a cell to the outside is the one
with the lowest highest point (the minimax path property of such trees), which is how water leaves
a basin. A small share of the lower cell breaks ties towards the steepest way down.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import breadth_first_order, minimum_spanning_tree

from .frame import Floats

Ints = NDArray[np.intp]
NEIGHBOURS = ((0, 1), (1, 0), (1, 1), (1, -1), (0, -1), (-1, 0), (-1, -1), (-1, 1))
_OFFSET_M = 1e4  # keeps every weight above zero, since csgraph takes zero for "no edge"


@dataclass(frozen=True)
class Drainage:
    """Flat arrays over cells in row order. `receiver` is the cell downstream, -1 off the grid."""

    shape: tuple[int, int]
    filled: Floats  # metres; never rises downstream
    receiver: Ints
    steps: Ints  # cells to the edge
    slices: tuple[Ints, ...]  # cells by steps, the edge first

    def gather(self, amount: Floats) -> Floats:
        """The sum of `amount` over each cell and all cells upstream of it, shape of the grid."""
        total = np.array(amount, dtype=np.float64).ravel()
        for cells in reversed(self.slices[1:]):
            np.add.at(total, self.receiver[cells], total[cells])
        return total.reshape(self.shape)

    def path(self, cell: int) -> Ints:
        """Cells from `cell` downstream to the edge, both included."""
        way = [cell]
        while (cell := int(self.receiver[cell])) >= 0:
            way.append(cell)
        return np.array(way, dtype=np.intp)


def grid_edges(rows: int, cols: int) -> tuple[Ints, Ints]:
    """Each pair of neighbours (8 directions) once, as two arrays of flat indices."""
    index = np.arange(rows * cols, dtype=np.intp).reshape(rows, cols)
    pairs = (
        (index[:, :-1], index[:, 1:]),
        (index[:-1, :], index[1:, :]),
        (index[:-1, :-1], index[1:, 1:]),
        (index[:-1, 1:], index[1:, :-1]),
    )
    return (
        np.concatenate([a.ravel() for a, _ in pairs]),
        np.concatenate([b.ravel() for _, b in pairs]),
    )


def border(rows: int, cols: int) -> Ints:
    """Flat indices of the cells on the grid's edge."""
    index = np.arange(rows * cols, dtype=np.intp).reshape(rows, cols)
    return np.unique(np.concatenate([index[0], index[-1], index[:, 0], index[:, -1]]))


def route(height: Floats) -> Drainage:
    """The drainage of a height field in metres; every cell on the edge is an outlet."""
    rows, cols = height.shape
    n, flat = height.size, height.ravel()
    a, b = grid_edges(rows, cols)
    edge = border(rows, cols)
    weight = np.maximum(flat[a], flat[b]) + 1e-3 * np.minimum(flat[a], flat[b])
    graph = csr_matrix(
        (
            np.concatenate([weight, flat[edge] * 1.001]) + _OFFSET_M,
            (np.concatenate([a, np.full(edge.size, n)]), np.concatenate([b, edge])),
        ),
        shape=(n + 1, n + 1),
    )
    _, parent = breadth_first_order(minimum_spanning_tree(graph), n, directed=False)
    tree = parent[:n].astype(np.intp)
    tree[tree == n] = -1
    filled = _fill(flat, tree)
    receiver = _steepest(filled.reshape(rows, cols), tree)
    steps = _steps(receiver)
    by_steps = np.argsort(steps.astype(np.uint16), kind="stable")  # 16 bits: a radix sort
    ends = np.cumsum(np.bincount(steps))
    levels = tuple(np.split(by_steps, ends[:-1]))
    return Drainage((rows, cols), filled.reshape(rows, cols), receiver, steps, levels)


def _fill(flat: Floats, tree: Ints) -> Floats:
    """Heights raised so that none lies below the way out: the highest cell on the tree's path.

    Found for all cells at once by doubling the stretch of path looked at until it is whole.
    """
    n = flat.size
    filled = np.append(flat, -np.inf)
    ahead = np.append(np.where(tree < 0, n, tree), n)
    while np.any(ahead[:n] < n):
        np.maximum(filled, filled[ahead], out=filled)
        ahead = ahead[ahead]
    return filled[:n]


def _steepest(filled: Floats, tree: Ints) -> Ints:
    """The steepest lower neighbour where there is one, else (a flat) the tree's way out.

    No loop can arise: heights never rise along either choice, and within a flat only the tree's
    way is taken. Edge cells keep the tree's choice, since the outside is their lowest neighbour.
    """
    rows, cols = filled.shape
    padded = np.pad(filled, 1, constant_values=np.inf)
    best, receiver = np.zeros_like(filled), tree.reshape(rows, cols).copy()
    index = np.arange(filled.size, dtype=np.intp).reshape(rows, cols)
    for dy, dx in NEIGHBOURS:
        other = padded[1 + dy : 1 + dy + rows, 1 + dx : 1 + dx + cols]
        fall = (filled - other) / np.hypot(dy, dx)
        better = fall > best
        best[better] = fall[better]
        receiver[better] = (index + dy * cols + dx)[better]
    flat = receiver.ravel()
    edge = border(rows, cols)
    flat[edge] = tree[edge]
    return flat


def _steps(receiver: Ints) -> Ints:
    """Cells from each cell to the edge, by doubling the stride until all have arrived."""
    n = receiver.size
    ahead = np.append(np.where(receiver < 0, n, receiver), n)
    count = np.append((receiver >= 0).astype(np.intp), 0)
    while np.any(ahead[:n] < n):
        count = count + count[ahead]
        ahead = ahead[ahead]
    return count[:n]
