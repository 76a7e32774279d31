"""Lines and rings out of cells: tracing, smoothing, thinning, and distances, all in metres."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from .frame import Floats

Mask = NDArray[np.bool_]


def trace(mask: Mask) -> list[Floats]:
    """The outlines of a mask's parts as closed rings of cell corners (col, row).

    Each ring's first point is its last. Outer rings run clockwise on the map (north up), holes
    the other way. Cells that touch by a corner only are kept apart.
    """
    padded = np.pad(mask, 1).astype(np.int8)
    across = np.diff(padded, axis=0)[:, 1:-1]  # row edges between (r-1, c) and (r, c)
    down = np.diff(padded, axis=1)[1:-1, :]
    starts: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for (rows, cols), step, ahead in (
        (np.nonzero(across > 0), (0, 0), (0, 1)),  # top edge, eastward
        (np.nonzero(across < 0), (0, 1), (0, -1)),  # bottom edge, westward
        (np.nonzero(down < 0), (0, 0), (1, 0)),  # right edge, southward
        (np.nonzero(down > 0), (1, 0), (-1, 0)),  # left edge, northward
    ):
        for row, col in zip(rows.tolist(), cols.tolist(), strict=True):
            starts.setdefault((row + step[0], col + step[1]), []).append(ahead)
    return [np.array(ring, dtype=np.float64)[:, ::-1] for ring in _rings(starts)]


def _rings(starts: dict[tuple[int, int], list[tuple[int, int]]]) -> Iterator[list[tuple[int, int]]]:
    """Follow the edges; a loop is a ring as soon as it closes, so that no ring meets itself."""
    while starts:
        at = next(iter(starts))
        walk, place, heading = [at], {at: 0}, starts[at][0]
        while walk:
            ways = starts[at]
            # Where two cells touch by a corner, a right turn stays with the same cell.
            right = (heading[1], -heading[0])
            heading = right if right in ways else ways[0]
            ways.remove(heading)
            if not ways:
                del starts[at]
            at = (at[0] + heading[0], at[1] + heading[1])
            if at in place:
                first = place[at]
                yield [*walk[first:], at]
                for corner in walk[first + 1 :]:
                    del place[corner]
                del walk[first + 1 :]
                if first == 0 and at not in starts:
                    break
            else:
                place[at] = len(walk)
                walk.append(at)


def soften(line: Floats, sigma: float, *, closed: bool = False) -> Floats:
    """A line with its corners rounded by a Gaussian over `sigma` vertices; open ends stay put."""
    if closed:
        ring = gaussian_filter1d(line[:-1], sigma, axis=0, mode="wrap")
        return np.vstack([ring, ring[:1]])
    if len(line) < 3:
        return line.copy()
    # Odd reflection about each end keeps the ends where they are.
    n = min(len(line) - 1, int(4 * sigma) + 1)
    head, tail = 2 * line[0] - line[n:0:-1], 2 * line[-1] - line[-2 : -n - 2 : -1]
    smooth = gaussian_filter1d(np.vstack([head, line, tail]), sigma, axis=0)[n : n + len(line)]
    smooth[0], smooth[-1] = line[0], line[-1]
    return np.asarray(smooth)


def thin(line: Floats, tolerance: float) -> Floats:
    """Fewer points, none of the dropped ones farther than `tolerance` from the line that is left.

    Douglas & Peucker 1973, Cartographica 10(2):112-122.
    """
    keep = np.zeros(len(line), dtype=bool)
    keep[[0, -1]] = True
    todo = [(0, len(line) - 1)]
    if np.allclose(line[0], line[-1]) and len(line) > 4:  # a ring: split it at its far point
        far = int(np.argmax(np.linalg.norm(line - line[0], axis=1)))
        keep[far] = True
        todo = [(0, far), (far, len(line) - 1)]
    while todo:
        first, last = todo.pop()
        if last - first < 2:
            continue
        gaps = distance_to_segment(line[first + 1 : last], line[first], line[last])
        worst = int(np.argmax(gaps))
        if gaps[worst] > tolerance:
            middle = first + 1 + worst
            keep[middle] = True
            todo += [(first, middle), (middle, last)]
    return line[keep]


def distance_to_segment(points: Floats, a: Floats, b: Floats) -> Floats:
    """Distance of points (..., 2) to the segment from a to b (each broadcast to the points)."""
    run = b - a
    square = np.maximum((run**2).sum(-1), 1e-12)
    t = np.clip(((points - a) * run).sum(-1) / square, 0, 1)
    return np.asarray(np.linalg.norm(points - (a + t[..., None] * run), axis=-1))


def distance_to_line(points: Floats, line: Floats) -> Floats:
    """Distance of points (n, 2) to a polyline (m, 2)."""
    return np.asarray(
        distance_to_segment(points[:, None, :], line[None, :-1], line[None, 1:]).min(axis=1)
    )


def crossings(one: Floats, other: Floats) -> Floats:
    """The points where two polylines cross, (n, 2)."""
    p, r = one[:-1, None], np.diff(one, axis=0)[:, None]
    q, s = other[None, :-1], np.diff(other, axis=0)[None]
    across = r[..., 0] * s[..., 1] - r[..., 1] * s[..., 0]
    gap = q - p
    with np.errstate(divide="ignore", invalid="ignore"):
        t = (gap[..., 0] * s[..., 1] - gap[..., 1] * s[..., 0]) / across
        u = (gap[..., 0] * r[..., 1] - gap[..., 1] * r[..., 0]) / across
    rows, cols = np.nonzero((across != 0) & (t >= 0) & (t <= 1) & (u >= 0) & (u <= 1))
    return np.asarray(one[rows] + t[rows, cols, None] * np.diff(one, axis=0)[rows])


def stations(line: Floats) -> Floats:
    """Distance from the line's start at each vertex."""
    return np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])


def length(line: Floats) -> float:
    """Length of a line."""
    return float(stations(line)[-1])


def along(line: Floats, at: Floats) -> Floats:
    """Points at the distances `at` from the line's start."""
    s = stations(line)
    return np.stack([np.interp(at, s, line[:, 0]), np.interp(at, s, line[:, 1])], axis=-1)


def inside(points: Floats, ring: Floats) -> Mask:
    """Whether points (n, 2) lie in a closed ring, by counting the edges east of them."""
    x, y = points[:, None, 0], points[:, None, 1]
    x0, y0, x1, y1 = ring[:-1, 0], ring[:-1, 1], ring[1:, 0], ring[1:, 1]
    crosses = (y0 > y) != (y1 > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        at = x0 + (y - y0) / (y1 - y0) * (x1 - x0)
    return np.asarray((crosses & (x < at)).sum(axis=1) % 2 == 1)


def area(ring: Floats) -> float:
    """Area of a closed ring, positive when it runs clockwise on the map (y to the south)."""
    x, y = ring[:, 0], ring[:, 1]
    return float(0.5 * (x[:-1] * y[1:] - x[1:] * y[:-1]).sum())
