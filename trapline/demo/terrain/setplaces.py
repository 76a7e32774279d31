"""Sixty places for a set, each chosen for what the animal uses there."""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import linear_sum_assignment

from .cover import Kind
from .frame import Floats
from .outline import along, distance_to_segment, inside, length
from .recipes import BEAVER, ERMINE, MARTEN, MINK, MUSKRAT, OTTER, RECIPES, Recipe
from .scene import Scene, distance_m

PER_LINE = 20
REACH_M = 110.0  # how far from the line a set may be
TRIES = 40
APART_M = 40.0


@dataclass(frozen=True)
class Spot:
    """A place in metres, on line number `line` (0..2), at `at_m` along it."""

    line: int
    at_m: float
    xy: Floats
    recipe: Recipe


class Lay:
    """The lay of the land as a trapper reads it: metres to what matters, at any point."""

    def __init__(self, scene: Scene) -> None:
        cell, cover = scene.frame.cell_m, scene.cover.kind
        closed = scene.cover.trees > 0.55
        self.scene = scene
        self.edge = np.maximum(distance_m(closed, cell), distance_m(~closed, cell))
        self.marsh = distance_m(cover == Kind.MARSH, cell)
        banks = [creek.xy for creek in scene.creeks if creek.km2[-1] > 4]
        runs = [(line[:-1], line[1:]) for line in banks]
        shores = [(lake.rings[0][:-1], lake.rings[0][1:]) for lake in scene.lakes]
        self.creek = tuple(np.vstack(part) for part in zip(*runs, strict=True))
        dry = [~(c.ponded[:-1] & c.ponded[1:]) for c in scene.creeks if c.km2[-1] > 4]
        self.creek = tuple(part[np.concatenate(dry)] for part in self.creek)
        self.shore = tuple(np.vstack(part) for part in zip(*shores, strict=True))

    def afloat(self, points: Floats) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        """Whether points (n, 2) lie in a lake."""
        wet = np.zeros(len(points), dtype=bool)
        for lake in self.scene.lakes:
            ring = lake.rings[0]
            near = np.all((points > ring.min(0)) & (points < ring.max(0)), axis=1)
            if near.any():
                wet[near] |= inside(points[near], ring)
        return wet


def snap(points: Floats, segments: tuple[Floats, ...]) -> tuple[Floats, Floats]:
    """The nearest points on segments to points (n, 2), and the distances."""
    a, b = segments
    low, high = points.min(0) - 400, points.max(0) + 400
    near = np.all((np.minimum(a, b) < high) & (np.maximum(a, b) > low), axis=1)
    if not near.any():
        return points.copy(), np.full(len(points), 1e6)
    a, b = a[near], b[near]
    gaps = distance_to_segment(points[:, None], a[None], b[None])
    best = gaps.argmin(axis=1)
    a, b = a[best], b[best]
    run = b - a
    t = np.clip(((points - a) * run).sum(-1) / np.maximum((run**2).sum(-1), 1e-9), 0, 1)
    return a + t[:, None] * run, gaps.min(axis=1)


def choose(rng: np.random.Generator, scene: Scene, lines: list[Floats]) -> list[Spot]:
    """Twenty places on each line, in order along it, none within `APART_M` of another."""
    lay = Lay(scene)
    spots: list[Spot] = []
    for number, (line, recipes) in enumerate(zip(lines, RECIPES, strict=True)):
        wanted = [recipe for recipe, count in recipes for _ in range(count)]
        trials = [_tried(rng, lay, line, stretch, wanted) for stretch in range(PER_LINE)]
        costs = np.array([[trial[kind].cost.min() for kind in wanted] for trial in trials])
        for stretch, slot in zip(*linear_sum_assignment(costs), strict=True):
            trial = trials[stretch][wanted[slot]]
            taken = np.array([spot.xy for spot in spots]).reshape(-1, 2)
            gaps = np.linalg.norm(trial.xy[:, None] - taken[None], axis=-1)
            close = (gaps < APART_M).any(axis=1)
            pick = int(np.argmin(trial.cost + 500.0 * close))
            at_m = float(trial.at_m[pick])
            spots.append(Spot(number, at_m, trial.xy[pick], wanted[slot]))
    return spots


@dataclass(frozen=True)
class Trial:
    """Places tried for one kind of set on one stretch, and how ill it fits each (0 is best)."""

    at_m: Floats
    xy: Floats
    cost: Floats


def _tried(
    rng: np.random.Generator, lay: Lay, line: Floats, stretch: int, wanted: list[Recipe]
) -> dict[Recipe, Trial]:
    """Random places beside the middle of one of the line's equal stretches, tried for each kind."""
    bounds = np.linspace(0.02, 0.98, PER_LINE + 1) * length(line)
    low, high = bounds[stretch], bounds[stretch + 1]
    at = rng.uniform(low + 0.18 * (high - low), high - 0.18 * (high - low), TRIES)
    on_line = along(line, at)
    points = on_line + rng.normal(0, 45, (TRIES, 2))
    size = np.array(lay.scene.frame.size_m)
    found = {}
    for kind in dict.fromkeys(wanted):
        placed, cost = _fit(lay, kind, points)
        cost = cost + 1e3 * (np.linalg.norm(placed - on_line, axis=1) > REACH_M)
        cost = cost + 1e4 * np.any((placed < 20) | (placed > size - 20), axis=1)
        found[kind] = Trial(at, placed, cost)
    return found


def _fit(lay: Lay, kind: Recipe, points: Floats) -> tuple[Floats, Floats]:
    """Where the kind of set would stand near each point, and how ill it fits there (0 is best)."""
    scene = lay.scene
    if kind in (MINK, MUSKRAT, OTTER, BEAVER):
        return _by_water(lay, kind, points)
    trees, edge = scene.at(scene.cover.trees, points), scene.at(lay.edge, points)
    slope = scene.at(scene.slope, points)
    wet = 60.0 * (lay.afloat(points) | (scene.at(scene.cover.kind, points) == Kind.MARSH))
    _, creek = snap(points, lay.creek)
    wet = wet + 30.0 * (creek < 12)
    if kind is MARTEN:
        return points, wet + 8 * (0.95 - trees) + np.maximum(slope - 18, 0) / 3
    if kind is ERMINE:
        return points, wet + 5 * np.abs(trees - 0.55) + creek / 200
    return points, wet + edge / 40 + np.maximum(slope - 12, 0) / 2


def _by_water(lay: Lay, kind: Recipe, points: Floats) -> tuple[Floats, Floats]:
    on_shore, shore = snap(points, lay.shore)
    on_creek, creek = snap(points, lay.creek)
    if kind is BEAVER:
        # A few metres out from the bank, where the run leaves the lodge.
        out = on_shore + (on_shore - points) / np.maximum(shore, 1e-6)[:, None] * 14
        out = np.where(lay.afloat(points)[:, None], points, out)
        afloat = lay.afloat(out)
        far_out = snap(out, lay.shore)[1]
        by_creek = 6 + creek / 60
        lake_cost = shore / 80 + np.maximum(far_out - 30, 0) / 4
        return np.where(afloat[:, None], out, on_creek), np.where(afloat, lake_cost, by_creek)
    if kind is OTTER:
        km2 = lay.scene.at(lay.scene.water.catchment, on_creek)
        return on_creek, creek / 60 + 4.0 * (km2 < 20)
    to_shore = shore < creek if kind is MUSKRAT else shore + 40 < creek
    placed = np.where(to_shore[:, None], on_shore, on_creek)
    away = np.where(to_shore, shore, creek)
    if kind is MUSKRAT:
        return placed, away / 60 + np.minimum(lay.scene.at(lay.marsh, placed), 600) / 80
    return placed, away / 60
