"""Zones and parcels: who manages the ground and whose it is. Polygons that share their borders."""

from dataclasses import dataclass

import numpy as np

from .frame import Floats
from .outline import area, thin
from .scene import Scene
from .settled import Settled
from .ways import pool


@dataclass(frozen=True)
class Parcel:
    """A piece of ground of one holder: a closed ring in metres."""

    name: str
    holder: str
    ring: Floats


def zone_border(scene: Scene) -> Floats:
    """The border of the two zones: down the ridge to the head of the main creek, then the creek.

    Runs from one edge of the area to another.
    """
    width, height = scene.frame.size_m
    head, mouth = scene.main.xy[0], scene.main.xy[-1]
    gaps = {"w": head[0], "n": head[1], "e": width - head[0], "s": height - head[1]}
    side = min(gaps, key=lambda key: float(gaps[key]))
    start = {
        "w": np.array([0.0, head[1]]),
        "n": np.array([head[0], 0.0]),
        "e": np.array([width, head[1]]),
        "s": np.array([head[0], height]),
    }[side]
    high = scene.water.surface
    burden = pool(np.asarray(1 + 14 * (high.max() - high) / np.ptp(high)))
    ridge = scene.ground.way([start, head], burden)
    creek = np.where(scene.main.ponded[:, None], np.nan, scene.main.xy)
    creek = creek[~np.isnan(creek).any(axis=1)]
    line = thin(np.vstack([ridge[:-1], creek, [_onto_edge(mouth, width, height)]]), 12.0)
    line[0], line[-1] = start, _onto_edge(mouth, width, height)
    return line


def _onto_edge(point: Floats, width: float, height: float) -> Floats:
    """The nearest point on the area's edge."""
    x, y = float(point[0]), float(point[1])
    options = [(x, 0.0, y), (x, height, height - y), (0.0, y, x), (width, y, width - x)]
    best = min(options, key=lambda option: option[2])
    return np.array(best[:2])


def split(border: Floats, width: float, height: float) -> tuple[Floats, Floats]:
    """The area cut by a line from edge to edge: (the part left of it, the part right of it)."""
    corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
    start, end = _round(border[0], width, height), _round(border[-1], width, height)
    total = 2 * (width + height)
    marks = [0.0, width, width + height, 2 * width + height]

    def between(first: float, last: float) -> list[tuple[float, float]]:
        span = (last - first) % total
        ahead = sorted(
            ((mark - first) % total, corner) for mark, corner in zip(marks, corners, strict=True)
        )
        return [corner for gap, corner in ahead if 0 < gap < span]

    onward, back = between(end, start), between(start, end)
    # Corners are passed clockwise, so the ring that follows the border and then the corners ahead
    # has its ground on the right of the border.
    right = np.vstack([border, *(np.array([c]) for c in onward), border[:1]])
    left = np.vstack([border[::-1], *(np.array([c]) for c in back), border[-1:]])
    return left, right


def _round(point: Floats, width: float, height: float) -> float:
    """Distance along the area's edge, clockwise from its north-west corner, of a point on it."""
    x, y = float(point[0]), float(point[1])
    if y <= 0:
        return x
    if x >= width:
        return width + y
    if y >= height:
        return width + height + width - x
    return 2 * width + height + height - y


def zones(scene: Scene) -> tuple[Floats, Floats]:
    """The two zones as closed rings: the northern one first."""
    width, height = scene.frame.size_m
    rings = split(zone_border(scene), width, height)
    north, south = sorted(rings, key=lambda ring: float(_centroid(ring)[1]))
    return north, south


def _centroid(ring: Floats) -> Floats:
    cross = ring[:-1, 0] * ring[1:, 1] - ring[1:, 0] * ring[:-1, 1]
    return np.asarray(((ring[:-1] + ring[1:]) * cross[:, None]).sum(0) / (6 * area(ring)))


def parcels(rng: np.random.Generator, scene: Scene, settled: Settled) -> list[Parcel]:
    """Six surveyed blocks that tile the area, with names and holders of our own.

    Two survey lines across and one along meet near the cabin's block; all corners are shared.
    """
    width, height = scene.frame.size_m
    cx, cy = (float(v) for v in settled.cabin)
    x1 = float(np.clip(cx - 4500 + rng.uniform(-500, 500), 0.15 * width, 0.45 * width))
    x2 = float(np.clip(cx + 5200 + rng.uniform(-500, 500), x1 + 0.25 * width, 0.88 * width))
    y1 = float(np.clip(cy + rng.uniform(1800, 2600), 0.3 * height, 0.75 * height))
    lean = rng.uniform(-600, 600, 4)
    top, mid, low = (
        [np.array([x, y]) for x in (0.0, x1 + lean[k], x2 + lean[k + 1], width)]
        for k, y in ((0, 0.0), (1, y1), (2, height))
    )
    blocks = (
        ("Upper Quillback forest block", "Invented Territory, forest office"),
        ("Longmitten community forest", "Quillback Community Forest"),
        ("Ridgefoot north block", "Invented Territory, forest office"),
        ("Greymitten grazing lease", "Greymitten Lease Holders"),
        ("Tussock Flats block", "Quillback Community Forest"),
        ("Ridgefoot settlement lands", "Ridgefoot Settlement"),
    )
    found = []
    for number, (name, holder) in enumerate(blocks):
        up, down = ((top, mid), (mid, low))[number // 3]
        k = number % 3
        ring = np.vstack([up[k], up[k + 1], down[k + 1], down[k], up[k]])
        found.append(Parcel(name, holder, ring))
    return found
