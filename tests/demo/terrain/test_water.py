"""The valley's own water: what a person who knows country would look for on the map."""

import numpy as np
from scipy.ndimage import maximum_filter, minimum_filter

from trapline.demo.terrain.model import Terrain
from trapline.demo.terrain.water import CREEK_FROM_KM2

CREEK, LAKE = 1, 2


def test_every_creek_cell_runs_down_to_a_lake_or_the_edge(any_valley: Terrain) -> None:
    height = any_valley.elevation.ravel().astype(np.float64)
    water, below = any_valley.water.ravel(), any_valley.receiver.ravel()
    cols = any_valley.frame.cols
    for start in np.nonzero(water == CREEK)[0].tolist():
        cell, steps = start, 0
        while water[cell] == CREEK and below[cell] >= 0:
            onward = int(below[cell])
            assert height[onward] <= height[cell] + 1e-3  # grids are kept in 32 bits
            assert abs(onward // cols - cell // cols) <= 1 and abs(onward % cols - cell % cols) <= 1
            cell, steps = onward, steps + 1
            assert steps < water.size
        row, col = divmod(cell, cols)
        at_edge = row in (0, any_valley.frame.rows - 1) or col in (0, cols - 1)
        assert water[cell] == LAKE or at_edge


def test_a_creek_is_in_the_bottom_of_its_valley(any_valley: Terrain) -> None:
    lowest_near = minimum_filter(any_valley.elevation, 5)
    highest_near = maximum_filter(any_valley.elevation, 15)
    creek = (any_valley.water == CREEK) & (any_valley.catchment > 5)
    above_lowest = (any_valley.elevation - lowest_near)[creek]
    below_sides = (highest_near - any_valley.elevation)[creek]
    # 100 m around it little lies lower, and 300 m around it the sides rise.
    assert np.median(above_lowest) < 3
    assert np.median(below_sides) > 8


def test_lakes_are_level_and_lie_in_basins(any_valley: Terrain) -> None:
    scene = any_valley.scene
    for body in scene.lakes[:6]:
        lake = scene.water.lakes == body.number
        level = any_valley.elevation[lake]
        assert np.ptp(level) < 1e-3
        assert any_valley.depth[lake].min() > 0
        rim = (maximum_filter(lake, 3)) & ~lake
        lower = rim & (any_valley.elevation < level.min() - 0.05)
        # Only the cut of the outlet lies lower than the water.
        assert lower.sum() <= 0.06 * rim.sum() + 3


def test_a_main_creek_has_tributaries_lakes_and_a_marsh(any_valley: Terrain) -> None:
    water = any_valley.of("water")
    creeks = sorted(float(f.facts["catchment_km2"]) for f in water if f.facts["of"] == "creek")
    lakes = [f for f in water if f.facts["of"] == "lake"]
    assert creeks[-1] > 250  # half of the land around drains to one creek
    assert sum(km2 > 10 for km2 in creeks) >= 8
    assert creeks[0] >= CREEK_FROM_KM2
    assert 5 <= len(lakes) <= 150
    assert any_valley.of("marsh")


def test_the_ground_is_boreal_hill_country(any_valley: Terrain) -> None:
    height = any_valley.elevation.astype(np.float64)
    steep = np.degrees(np.arctan(np.hypot(*np.gradient(height, any_valley.frame.cell_m))))
    assert 350 < height.min() < 700
    assert 1200 < height.max() < 1800
    assert 5 < np.median(steep) < 16
    assert np.percentile(steep, 99) < 45
