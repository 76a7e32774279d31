"""Drainage. Oracle for filling: priority-flood with a heap, written apart from the code after
Barnes, Lehman & Mulla 2014, Computers & Geosciences 62:117-127 (their algorithm 1)."""

import heapq

import numpy as np
import pytest
from numpy.typing import NDArray

from trapline.demo.terrain.drainage import NEIGHBOURS, border, route


def priority_flood(height: NDArray[np.float64]) -> NDArray[np.float64]:
    rows, cols = height.shape
    filled = height.copy()
    closed = np.zeros(height.shape, dtype=bool)
    queue: list[tuple[float, int, int]] = []
    for cell in border(rows, cols).tolist():
        row, col = divmod(cell, cols)
        closed[row, col] = True
        heapq.heappush(queue, (float(height[row, col]), row, col))
    while queue:
        level, row, col = heapq.heappop(queue)
        for dy, dx in NEIGHBOURS:
            r, c = row + dy, col + dx
            if 0 <= r < rows and 0 <= c < cols and not closed[r, c]:
                closed[r, c] = True
                filled[r, c] = max(float(height[r, c]), level)
                heapq.heappush(queue, (float(filled[r, c]), r, c))
    return filled


@pytest.fixture(params=range(12))
def ground(request: pytest.FixtureRequest) -> NDArray[np.float64]:
    rng = np.random.default_rng(request.param)
    rough = rng.normal(0, 10, (23, 31))
    if request.param % 3 == 0:
        return np.round(rough / 5) * 5 + 100  # many ties and flats
    if request.param % 3 == 1:
        return rough.cumsum(axis=0) + 500
    return rough + 100


def test_depressions_are_filled_to_their_lowest_spill(ground: NDArray[np.float64]) -> None:
    assert route(ground).filled == pytest.approx(priority_flood(ground))


def test_water_never_rises_and_always_gets_out(ground: NDArray[np.float64]) -> None:
    water = route(ground)
    filled = water.filled.ravel()
    edge = set(border(*ground.shape).tolist())
    for cell in range(ground.size):
        way = water.path(cell)
        assert len(way) <= ground.size
        assert int(way[-1]) in edge
        assert np.all(np.diff(filled[way]) <= 0)
        assert len(way) == water.steps[cell] + 1


def test_every_cell_drains_to_a_neighbour(ground: NDArray[np.float64]) -> None:
    receiver = route(ground).receiver
    cells = np.nonzero(receiver >= 0)[0]
    down, across = (
        a - b
        for a, b in zip(
            np.divmod(receiver[cells], ground.shape[1]),
            np.divmod(cells, ground.shape[1]),
            strict=True,
        )
    )
    assert np.all(np.maximum(np.abs(down), np.abs(across)) == 1)


def test_all_rain_arrives_at_the_edge(ground: NDArray[np.float64]) -> None:
    water = route(ground)
    gathered = water.gather(np.ones(ground.size))
    outlets = water.receiver.reshape(ground.shape) < 0
    assert gathered[outlets].sum() == ground.size
    assert gathered.min() == 1


def test_on_a_plane_water_takes_the_steepest_way() -> None:
    rows, cols = np.mgrid[:15, :15].astype(np.float64)
    water = route(100 - 2 * rows - 0.1 * cols)
    inner = water.receiver.reshape(15, 15)[1:-1, 1:-1]
    here = np.arange(225).reshape(15, 15)[1:-1, 1:-1]
    assert np.all(inner == here + 15)  # due south: 2.0 a cell against 2.1 / 1.41 on the diagonal
