"""Ways over the ground. Sources beside the checks."""

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from trapline.demo.terrain.model import Terrain
from trapline.demo.terrain.outline import distance_to_line
from trapline.demo.terrain.ways import STEP, Ground, tobler_kmh


@pytest.mark.parametrize(
    ("degrees", "kmh"),
    # Table of sample values of Tobler's hiking function in Wikipedia's article of that name.
    [
        (-60, 0.02),
        (-30, 0.95),
        (-20, 2.00),
        (-10, 3.86),
        (-5, 5.26),
        (-2.8624, 6.00),
        (0, 5.04),
        (1, 4.74),
        (5, 3.71),
        (10, 2.72),
        (15, 1.97),
        (20, 1.41),
        (30, 0.67),
        (50, 0.08),
    ],
)
def test_walking_speed_is_that_of_the_published_table(degrees: float, kmh: float) -> None:
    slope = np.array([np.tan(np.radians(degrees))])
    assert tobler_kmh(slope)[0] == pytest.approx(kmh, abs=0.0051)


def cheapest(ground: Ground, burden: NDArray[np.float64], start: int, end: int) -> float:
    """Hours by Bellman-Ford: every edge relaxed until nothing changes."""
    cost = np.full(burden.size, np.inf)
    cost[start] = 0
    flat = burden.ravel()
    hours = ground.hours * (flat[ground.a] + flat[ground.b]) / 2
    while True:
        before = cost.copy()
        np.minimum.at(cost, ground.b, cost[ground.a] + hours)
        np.minimum.at(cost, ground.a, cost[ground.b] + hours)
        if np.array_equal(before, cost):
            return float(cost[end])


def test_a_way_is_the_quickest_there_is() -> None:
    rng = np.random.default_rng(8)
    ground = Ground(
        rng.normal(0, 30, (24, 24)).cumsum(axis=1) + 500, np.zeros((24, 24), bool), 40.0
    )
    burden = rng.uniform(1, 4, ground.height.shape)
    start, end = 0, burden.size - 1
    cells = ground._leg(start, end, burden.ravel())
    flat = burden.ravel()
    step = {
        frozenset(pair): hours * (flat[pair[0]] + flat[pair[1]]) / 2
        for pair, hours in zip(
            zip(ground.a.tolist(), ground.b.tolist(), strict=True),
            ground.hours.tolist(),
            strict=True,
        )
    }
    walked = sum(
        step[frozenset(pair)] for pair in zip(cells[:-1].tolist(), cells[1:].tolist(), strict=True)
    )
    assert walked == pytest.approx(cheapest(ground, burden, start, end))


def test_a_step_takes_the_mean_of_up_and_down() -> None:
    """At 10 degrees the same table has 3.86 km/h down and 2.72 km/h up."""
    rise = np.tan(np.radians(10)) * 40.0
    height = np.arange(20)[None, :] * rise + np.zeros((20, 1))
    ground = Ground(height, np.zeros((20, 20), bool), 40.0)
    uphill = (ground.b - ground.a == 1).nonzero()[0]
    km = 40.0 * STEP / 1000
    assert ground.hours[uphill] == pytest.approx(km * (1 / 3.86 + 1 / 2.72) / 2, rel=2e-3)
    level = (ground.b - ground.a == ground.cols).nonzero()[0]
    assert ground.hours[level] == pytest.approx(km / 5.04, rel=2e-3)


def test_a_way_goes_round_a_wall() -> None:
    ground = Ground(np.full((40, 40), 500.0), np.zeros((40, 40), bool), 40.0)
    burden = np.ones(ground.height.shape)
    burden[:16, 10] = 1000.0
    cell = 40.0 * STEP
    start, end = np.array([2.5, 2.5]) * cell, np.array([17.5, 2.5]) * cell
    way = ground.way([start, end], burden)
    assert way[:, 1].max() > 15 * cell
    assert np.array_equal(way[[0, -1]], [start, end])


def test_trails_and_lines_keep_off_open_water(any_valley: Terrain) -> None:
    frame = any_valley.frame
    for way in (*any_valley.of("trail"), *any_valley.of("road"), *any_valley.lines):
        path = frame.metres(way.geometry["coordinates"])
        even = np.vstack([np.linspace(a, b, 20) for a, b in pairwise(path)])
        wet = any_valley.depth[frame.cells(even)] > 0
        assert wet.mean() < 0.005, way.name


def test_the_road_passes_houses_and_the_bridge(any_valley: Terrain) -> None:
    frame = any_valley.frame
    road = frame.metres(any_valley.of("road")[0].geometry["coordinates"])
    houses = frame.metres([f.geometry["coordinates"] for f in any_valley.of("dwelling")])
    bridge = frame.metres(any_valley.of("bridge")[0].geometry["coordinates"])
    assert len(houses) == 6
    assert np.all(distance_to_line(houses, road) < 140)
    assert distance_to_line(bridge[None], road)[0] < 60
    creek = frame.metres(any_valley.of("water")[0].geometry["coordinates"])
    assert distance_to_line(bridge[None], creek)[0] < 5
