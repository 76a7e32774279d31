"""Grids drawn at any scale: separable resampling from degrees to mercator pixels.

Columns are even in longitude and rows in latitude, so that a view's pixels are a product of a
column weight and a row weight: two small matrix products and no loop over pixels. The kernel is
Catmull-Rom's cubic (Keys 1981, a = -1/2), widened where a pixel covers more than a cell.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..frame import Floats, Frame
from .tilemath import degrees, pixels

Field = NDArray[np.float32]


@dataclass(frozen=True)
class View:
    """A window of `width` x `height` pixels at (left, top) of the world at `zoom`."""

    zoom: float
    left: float
    top: float
    width: int
    height: int

    def place(self, lonlat: Floats) -> Floats:
        """Degrees (..., 2) to pixels of this view."""
        return pixels(lonlat, self.zoom) - (self.left, self.top)

    def grown(self, by: int) -> "View":
        """The view with `by` more pixels on every side."""
        return View(
            self.zoom, self.left - by, self.top - by, self.width + 2 * by, self.height + 2 * by
        )


    def half(self) -> "View":
        """The same ground at half as many pixels; left, top and size must be even."""
        return View(self.zoom - 1, self.left / 2, self.top / 2, self.width // 2, self.height // 2)


@dataclass(frozen=True)
class Sampler:
    """The weights of one view over one frame."""

    rows: slice
    cols: slice
    by_row: Field  # (height, rows)
    by_col: Field  # (cols, width)
    within: NDArray[np.bool_]  # (height, width) the pixel lies on the map

    def __call__(self, grid: Field) -> Field:
        """A grid at the view's pixels, shape (height, width)."""
        part = np.ascontiguousarray(grid[self.rows, self.cols], dtype=np.float32)
        return np.asarray(self.by_row @ part @ self.by_col, dtype=np.float32)


def sampler(frame: Frame, view: View) -> Sampler:
    """The sampler of a view; pixels off the map repeat its edge."""
    west, south, east, north = frame.bounds
    dx, dy = frame.degrees
    x = degrees(np.stack([view.left + np.arange(view.width) + 0.5, np.zeros(view.width)], -1), view.zoom)
    y = degrees(np.stack([np.zeros(view.height), view.top + np.arange(view.height) + 0.5], -1), view.zoom)
    lon, lat = x[:, 0], y[:, 1]
    cols, by_col = _weights((lon - west) / dx, frame.cols)
    rows, by_row = _weights((north - lat) / dy, frame.rows)
    within = ((lat > south) & (lat < north))[:, None] & ((lon > west) & (lon < east))[None]
    return Sampler(rows, cols, by_row, np.ascontiguousarray(by_col.T), within)


def _weights(at: Floats, size: int) -> tuple[slice, Field]:
    """The cells used, and each pixel's weights over them; `at` is in cells from the first edge."""
    stretch = max(1.0, float(abs(at[-1] - at[0]) / max(len(at) - 1, 1)))
    at = np.clip(at, 0.0, float(size))
    first = max(int(at.min() - 2 * stretch) - 1, 0)
    last = min(int(at.max() + 2 * stretch) + 2, size)
    gap = np.abs((at[:, None] - 0.5 - np.arange(first, last)[None]) / stretch)
    near = 1 - 2.5 * gap**2 + 1.5 * gap**3
    far = 2 - 4 * gap + 2.5 * gap**2 - 0.5 * gap**3
    weight = np.where(gap < 1, near, np.where(gap < 2, far, 0.0))
    weight /= weight.sum(axis=1, keepdims=True)
    return slice(first, last), weight.astype(np.float32)
