"""Three lines from the cabin: down the creek, a loop over the ridge, and round marsh and lake."""

import numpy as np

from .cover import TREELINE_M
from .frame import Floats
from .outline import along, distance_to_line, stations
from .scene import Scene, distance_m
from .settled import Settled
from .ways import pool

CREEK_LINE_M = 9000.0
FROM_WATER_M = 90.0  # a line keeps this far from the bank, out of the alders


def traplines(scene: Scene, settled: Settled) -> list[Floats]:
    """The three paths, in metres, in the order of `names.LINES`."""
    return [_creek_line(scene, settled), _ridge_loop(scene, settled), _lake_line(scene, settled)]


def _creek_line(scene: Scene, settled: Settled) -> Floats:
    """Down the main creek from the cabin, along its bank."""
    main = scene.main
    s = stations(main.xy)
    at = s[int(np.argmin(np.linalg.norm(main.xy - settled.cabin, axis=1)))]
    last = float(min(at + CREEK_LINE_M, s[-1] - 2500))
    stops = [settled.cabin, *along(main.xy, np.linspace(at + 2500, last, 4))]
    bank = np.zeros(scene.water.creek.shape, dtype=bool)
    bank[scene.frame.cells(main.xy)] = True
    away = np.abs(distance_m(bank, scene.frame.cell_m) - FROM_WATER_M)
    burden = scene.burden + pool(np.asarray(np.minimum(away / 60, 12.0)))
    return scene.ground.way([stops[0], *(_beside(scene, p) for p in stops[1:])], burden)


def _beside(scene: Scene, point: Floats) -> Floats:
    """The driest point 60-160 m from a point on the water."""
    turn = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    ring = np.concatenate(
        [point + r * np.stack([np.cos(turn), np.sin(turn)], -1) for r in (80, 130)]
    )
    size = np.array(scene.frame.size_m)
    cost = -np.minimum(scene.at(scene.water.above, ring), 6) + 0.3 * scene.at(scene.slope, ring)
    cost = cost + 50.0 * (scene.at(scene.water.lakes, ring) > 0)
    cost = cost + 500.0 * np.any((ring < 50) | (ring > size - 50), axis=1)
    driest: Floats = ring[int(np.argmin(cost))]
    return driest


def _ridge_loop(scene: Scene, settled: Settled) -> Floats:
    """Up to a shoulder in the last spruce, along it, and back down another way."""
    frame, cabin = scene.frame, settled.cabin
    rows, cols = np.mgrid[8 : frame.rows - 8 : 6, 8 : frame.cols - 8 : 6]
    points = frame.centres(rows, cols).reshape(-1, 2)
    height = scene.at(scene.water.surface, points)
    base = float(scene.at(scene.water.surface, cabin))
    away = np.linalg.norm(points - cabin, axis=1)
    # The road's side of the valley is left to others.
    road = np.zeros(scene.slope.shape, dtype=bool)
    road[frame.cells(settled.road)] = True
    clear = scene.at(distance_m(road, frame.cell_m), points) > 2500
    fit = clear & (height > base + 130) & (height < TREELINE_M - 30) & (away > 2500) & (away < 5200)
    fit &= scene.at(scene.slope, points) < 12
    points, height, away = points[fit], height[fit], away[fit]
    cost = np.abs(away - 4200) / 400 + np.abs(height - (TREELINE_M - 120)) / 60
    first = points[int(np.argmin(cost))]
    apart = np.linalg.norm(points - first, axis=1)
    second = points[int(np.argmin(cost + np.abs(apart - 3200) / 250))]
    return scene.ground.way([cabin, first, second, cabin], scene.burden, spread=1.5)


def _lake_line(scene: Scene, settled: Settled) -> Floats:
    """Round the main lake by its shore and the wet ground at its head, and back to the cabin."""
    lake = scene.lakes[
        int(
            np.argmin(
                [
                    distance_to_line(settled.outlet[None], body.rings[0])[0]
                    for body in scene.lakes[:6]
                ]
            )
        )
    ]
    ring = lake.rings[0]
    centre = ring.mean(axis=0)
    outward = ring + (ring - centre) / np.linalg.norm(ring - centre, axis=1, keepdims=True) * 110
    start = int(np.argmin(np.linalg.norm(ring - settled.outlet, axis=1)))
    s = stations(ring)
    round_about = (s[start] + np.array([0.28, 0.5, 0.72]) * s[-1]) % s[-1]
    size = np.array(scene.frame.size_m)
    stops = [np.clip(_beside(scene, p), 50, size - 50) for p in along(outward, round_about)]
    near = distance_m(scene.water.lakes == lake.number, scene.frame.cell_m)
    burden = scene.burden + pool(np.asarray(np.minimum(np.abs(near - FROM_WATER_M) / 80, 10.0)))
    return scene.ground.way([settled.cabin, *stops, settled.cabin], burden, spread=0.8)
