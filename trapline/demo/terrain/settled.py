"""What people have made of the valley: the base cabin, the road at its edge, houses, trails."""

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import maximum_filter

from .cover import TREELINE_M, Kind
from .frame import Floats
from .outline import along, crossings, distance_to_line, stations
from .scene import Scene, distance_m
from .ways import pool

ROAD_FROM_EDGE_M = 1500.0


@dataclass(frozen=True)
class Settled:
    """Points and lines in metres."""

    cabin: Floats
    outlet: Floats  # where the main creek leaves its largest lake
    bridge: Floats  # where the road crosses the main creek
    road: Floats
    dwellings: list[Floats]
    trails: list[Floats]
    peaks: list[tuple[Floats, float]]  # (point, height in metres), the highest first


def settle_people(rng: np.random.Generator, scene: Scene) -> Settled:
    """Cabin, road, houses, trails and the hills worth a name."""
    outlet = lake_outlet(scene)
    cabin = _cabin(scene, outlet)
    road, bridge = _road(scene)
    tops = peaks(scene, 8)
    shore = _upper_shore(scene, outlet)
    top = min((p for p, _ in tops), key=lambda p: abs(float(np.linalg.norm(p - cabin)) - 5000))
    go = scene.ground.way
    trails = [
        go([cabin, bridge], scene.burden),
        go([cabin, shore], scene.burden),
        go([cabin, top], scene.burden),
    ]
    return Settled(cabin, outlet, bridge, road, _dwellings(rng, scene, road, bridge), trails, tops)


def lake_outlet(scene: Scene) -> Floats:
    """Where the main creek leaves the longest of its ponded runs, or its middle if it has none."""
    ponded = np.append(scene.main.ponded, False).astype(int)
    ends = np.nonzero(np.diff(np.concatenate([[0], ponded])) == -1)[0]
    starts = np.nonzero(np.diff(np.concatenate([[0], ponded])) == 1)[0]
    if not len(ends):
        middle: Floats = scene.main.xy[len(scene.main.xy) // 2]
        return middle
    last = int(ends[int(np.argmax(ends - starts))])
    outlet: Floats = scene.main.xy[min(last, len(scene.main.xy) - 1)]
    return outlet


def _upper_shore(scene: Scene, outlet: Floats) -> Floats:
    """A point by the creek above the lake, clear of ponds: where a shore trail would end."""
    main = scene.main
    at = int(np.argmin(np.linalg.norm(main.xy - outlet, axis=1)))
    above = at
    clear = scene.at(distance_m(scene.water.lakes > 0, scene.frame.cell_m), main.xy) > 150
    while above > 0 and not (clear[above] and above < at):
        above -= 1
    end: Floats = main.xy[above]
    return end


def _cabin(scene: Scene, outlet: Floats) -> Floats:
    """A dry level bench below the lake, off the creek, in the trees."""
    frame = scene.frame
    centres = frame.centres(*np.mgrid[: frame.rows, : frame.cols])
    away = np.linalg.norm(centres - outlet, axis=-1)
    creek = distance_m(scene.water.creek | (scene.water.lakes > 0), frame.cell_m)
    cost = np.abs(away - 650) / 100 + np.abs(creek - 150) / 40 + scene.slope * 0.8
    cost += 30.0 * ((scene.water.above < 4) | (scene.water.above > 40) | (away > 2500))
    cost += 60.0 * ((scene.cover.kind == Kind.MARSH) | (scene.cover.kind == Kind.LAKE))
    row, col = np.unravel_index(int(np.argmin(cost)), cost.shape)
    cabin: Floats = centres[row, col]
    return cabin


def _road(scene: Scene) -> tuple[Floats, Floats]:
    """The road along the edge where the main creek leaves, and its bridge."""
    frame, mouth = scene.frame, scene.main.xy[-1]
    width, height = frame.size_m
    gaps = np.array([mouth[0], width - mouth[0], mouth[1], height - mouth[1]])
    side = int(np.argmin(gaps))
    before_mouth = stations(scene.main.xy)[-1] - stations(scene.main.xy)
    misfit = np.abs(before_mouth - ROAD_FROM_EDGE_M)
    ponds = distance_m(scene.water.lakes > 0, frame.cell_m)
    misfit = misfit + 2000.0 * (scene.at(ponds, scene.main.xy) < 120)
    bridge = scene.main.xy[int(np.argmin(misfit))]
    off = ROAD_FROM_EDGE_M * 0.8
    ends = {
        0: ([off, 0.0], [off, height]),
        1: ([width - off, 0.0], [width - off, height]),
        2: ([0.0, off], [width, off]),
        3: ([0.0, height - off], [width, height - off]),
    }[side]
    centres = frame.centres(*np.mgrid[: frame.rows, : frame.cols])
    from_edge = [
        centres[..., 0],
        width - centres[..., 0],
        centres[..., 1],
        height - centres[..., 1],
    ]
    steep = (scene.slope / 5) ** 2
    stray = np.maximum(from_edge[side] - 2600, 0) / 150
    burden = scene.burden + pool(np.asarray(steep + stray))
    road = scene.ground.way([np.array(ends[0]), bridge, np.array(ends[1])], burden)
    met = crossings(road, scene.main.xy)
    if len(met):
        bridge = met[int(np.argmin(np.linalg.norm(met - bridge, axis=1)))]
    return road, bridge


def _dwellings(
    rng: np.random.Generator, scene: Scene, road: Floats, bridge: Floats
) -> list[Floats]:
    """Six houses near the bridge, each 40-130 m off the road, on dry ground, 250 m apart."""
    s = stations(road)
    middle = s[int(np.argmin(np.linalg.norm(road - bridge, axis=1)))]
    found: list[Floats] = []
    for _ in range(4000):
        reach = 1500 + 2500 * len(found) / 6
        spot = along(road, np.array([middle + rng.uniform(-reach, reach)]))[0]
        point = spot + rng.normal(0, 75, 2)
        dry = scene.at(scene.water.above, point) > 2 and scene.at(scene.slope, point) < 9
        wet = int(scene.at(scene.cover.kind, point)) in (Kind.MARSH, Kind.LAKE)
        within = 0 < point[0] < scene.frame.size_m[0] and 0 < point[1] < scene.frame.size_m[1]
        apart = all(np.linalg.norm(point - other) > 250 for other in found)
        if (
            within
            and dry
            and not wet
            and apart
            and 40 < distance_to_line(point[None], road)[0] < 130
        ):
            found.append(point)
        if len(found) == 6:
            break
    return found


def peaks(scene: Scene, count: int) -> list[tuple[Floats, float]]:
    """The highest points, each at least 3 km from a higher one and 1 km from the edge."""
    frame, height = scene.frame, scene.water.surface
    edge = int(1000 / frame.cell_m)
    tops = height == maximum_filter(height, 21)
    tops[:edge] = tops[-edge:] = tops[:, :edge] = tops[:, -edge:] = False
    rows, cols = np.nonzero(tops & (height > TREELINE_M - 150))
    found: list[tuple[Floats, float]] = []
    for pick in np.argsort(-height[rows, cols], kind="stable").tolist():
        point = frame.centres(rows[pick], cols[pick])
        if all(np.linalg.norm(point - other) > 3000 for other, _ in found):
            found.append((point, float(height[rows[pick], cols[pick]])))
    return found[:count]
