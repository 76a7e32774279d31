"""Creeks as lines and lakes and the marsh as rings, in metres."""

from dataclasses import dataclass, replace

import numpy as np
from scipy.ndimage import find_objects, gaussian_filter, label, zoom

from .drainage import Ints
from .frame import Floats
from .outline import Mask, area, soften, thin, trace
from .water import CREEK_FROM_KM2, Water, number_lakes

View = tuple[slice, slice]
MARSH_MIN_M2 = 6e4
FINER = 4  # lake outlines are read from a grid this many times finer


@dataclass(frozen=True)
class Creek:
    """A creek from its head to where it ends, ponds on its way included."""

    xy: Floats  # (n, 2) metres
    km2: Floats  # (n,) catchment at each vertex
    ponded: Mask  # (n,) the vertex lies in a lake


@dataclass(frozen=True)
class Body:
    """A lake or a marsh: its outer ring first, then its islands; closed, metres."""

    rings: tuple[Floats, ...]
    level_m: float
    number: int  # in Water.lakes; 0 for the marsh

    @property
    def area_m2(self) -> float:
        return abs(sum(area(ring) for ring in self.rings))


def crop(water: Water, margin: int, cell_m: float) -> Water:
    """The part of the grids that the map shows; what flows out of it has receiver -1.

    What the edge leaves of a lake is a lake if it is large enough by itself.
    """
    rows, cols = water.surface.shape
    keep = np.s_[margin : rows - margin, margin : cols - margin]
    inner = cols - 2 * margin
    below = water.receiver.reshape(rows, cols)[keep]
    row, col = below // cols - margin, below % cols - margin
    held = (below >= 0) & (row >= 0) & (row < rows - 2 * margin) & (col >= 0) & (col < inner)
    fields = ("surface", "depth", "lakes", "marsh", "catchment", "above")
    cut = {name: np.ascontiguousarray(getattr(water, name)[keep]) for name in fields}
    cut["lakes"] = number_lakes(cut["lakes"] > 0, cell_m)
    cut["depth"] = np.where(cut["lakes"] > 0, cut["depth"], 0.0)
    cut["creek"] = (cut["catchment"] >= CREEK_FROM_KM2) & (cut["lakes"] == 0)
    return replace(water, **cut, receiver=np.where(held, row * inner + col, -1).ravel())


def creeks(water: Water, cell_m: float) -> list[Creek]:
    """Every creek, the largest first: at a fork the larger arm goes on, the other ends there."""
    km2 = water.catchment.ravel()
    wet = np.nonzero(km2 >= CREEK_FROM_KM2)[0]
    wet = wet[np.argsort(km2[wet], kind="stable")]
    larger_arm = np.full(km2.size, -1, dtype=np.intp)
    flowing = wet[water.receiver[wet] >= 0]
    larger_arm[water.receiver[flowing]] = flowing  # ascending, so the largest stays
    found: list[Creek] = []
    places: dict[int, Floats] = {}  # cell -> where a creek already drawn passes it
    for mouth in wet[::-1].tolist():
        below = int(water.receiver[mouth])
        if below >= 0 and larger_arm[below] == mouth:
            continue  # not a mouth: a larger creek passes through
        cells = [mouth]
        while (arm := int(larger_arm[cells[-1]])) >= 0:
            cells.append(arm)
        cells = cells[::-1] + ([below] if below >= 0 else [])
        if len(cells) >= 6:
            found.append(_drawn(water, np.array(cells, dtype=np.intp), cell_m, places))
    return found


def _drawn(water: Water, cells: Ints, cell_m: float, places: dict[int, Floats]) -> Creek:
    rows, cols = water.surface.shape
    line = (np.stack([cells % cols, cells // cols], axis=-1) + 0.5) * cell_m
    joins = int(cells[-1]) in places
    line[-1] = places.get(int(cells[-1]), line[-1])
    line = soften(line, 1.6)
    for cell, point in zip(cells.tolist(), line, strict=True):
        places.setdefault(cell, point)
    km2 = water.catchment.ravel()[cells]
    km2[-1] = km2[-2]  # the last cell may belong to a larger creek
    ponded = water.lakes.ravel()[cells] > 0
    size = np.array([cols, rows]) * cell_m
    # Half a cell more where the creek comes in or goes out at the edge of the map.
    ends = [(0, True), (len(line) - 1, not joins)]
    for at, open_end in sorted(ends, reverse=True):
        point = line[at]
        gap = np.concatenate([point, size - point])
        if open_end and gap.min() <= cell_m:
            edge = point.copy()
            side = int(np.argmin(gap))
            edge[side % 2] = 0.0 if side < 2 else size[side % 2]
            where = at + 1 if at else 0
            line = np.insert(line, where, edge, axis=0)
            km2, ponded = np.insert(km2, where, km2[at]), np.insert(ponded, where, ponded[at])
    return Creek(line, km2, ponded)


def lakes(water: Water, cell_m: float) -> list[Body]:
    """The outline of every lake, the largest first, read between the cells."""
    found = find_objects(water.lakes)
    return [_lake(water, number, view, cell_m) for number, view in enumerate(found, start=1)]


def _wider(view: View, pad: int, shape: tuple[int, ...]) -> View:
    """A window grown by `pad` cells on every side, within the grid."""
    rows, cols = (
        slice(max(part.start - pad, 0), min(part.stop + pad, size))
        for part, size in zip(view, shape, strict=True)
    )
    return rows, cols


def _lake(water: Water, number: int, view: View, cell_m: float) -> Body:
    view = _wider(view, 3, water.lakes.shape)
    mine = water.lakes[view] == number
    level = float(water.surface[view][mine].mean())
    # Above the water outside, below it inside: nothing is the shore.
    rise = water.surface[view] - level
    field = np.where(mine, np.maximum(water.depth[view], 0.3), -np.maximum(rise, 0.3))
    fine = zoom(np.clip(field, -3, 3), FINER, order=1, mode="nearest", grid_mode=True)
    parts, _ = label(gaussian_filter(fine, 3.0) > 0)
    whole = parts == np.argmax(np.bincount(parts[parts > 0].ravel()))
    offset = np.array([view[1].start, view[0].start]) * cell_m
    rings = [_ring(ring, cell_m / FINER, 3.0) + offset for ring in trace(whole)]
    return Body(_ordered(rings, least_m2=2500), level, number)


def _ring(ring: Floats, cell_m: float, sigma: float) -> Floats:
    line = thin(soften(ring * cell_m, sigma, closed=True), 2.5)
    line[-1] = line[0]
    return line


def _ordered(rings: list[Floats], least_m2: float) -> tuple[Floats, ...]:
    """The outer ring and then the holes that are worth drawing."""
    rings = sorted(rings, key=lambda ring: -abs(area(ring)))
    return (
        rings[0],
        *(ring for ring in rings[1:] if abs(area(ring)) >= least_m2 and len(ring) > 4),
    )


def marshes(water: Water, cell_m: float) -> list[Body]:
    """The outlines of the wet flats, the largest first, each with its dry islands."""
    soft = gaussian_filter(water.marsh.astype(np.float64), 1.0)
    fine = gaussian_filter(zoom(soft, 2, order=1, mode="nearest", grid_mode=True), 1.0) > 0.45
    parts, _ = label(fine)
    bodies = []
    for part, found in enumerate(find_objects(parts), start=1):
        view = _wider(found, 1, fine.shape)
        offset = np.array([view[1].start, view[0].start]) * cell_m / 2
        rings = [_ring(ring, cell_m / 2, 1.5) + offset for ring in trace(parts[view] == part)]
        body = Body(_ordered(rings, least_m2=6000), 0.0, 0)
        if body.area_m2 > MARSH_MIN_M2:
            bodies.append(body)
    return sorted(bodies, key=lambda body: -body.area_m2)
