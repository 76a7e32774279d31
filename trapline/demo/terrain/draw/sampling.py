"""Grids drawn at any scale: separable resampling from degrees to mercator pixels.

Columns are even in longitude and rows in latitude, so that a view's pixels are a product of a
column weight and a row weight: two small matrix products and no loop over pixels. The kernel is
Catmull-Rom's cubic (Keys 1981, a = -1/2), widened where a pixel covers more than a cell.
"""

from dataclasses import dataclass, replace
from math import log2

import numpy as np
from numpy.typing import NDArray

from ..frame import Floats, Frame
from .tilemath import degrees, pixels

Field = NDArray[np.float32]


@dataclass(frozen=True)
class View:
    """A window of `width` x `height` pixels at (left, top) of the world at `zoom`.

    `ink` makes lines and letters that much larger, for paper: what is drawn is then that of the
    zoom at which they would have their usual size, `shown`.
    """

    zoom: float
    left: float
    top: float
    width: int
    height: int
    ink: float = 1.0

    @property
    def shown(self) -> float:
        """The zoom whose selection of things is drawn."""
        return self.zoom - log2(self.ink)

    def place(self, lonlat: Floats) -> Floats:
        """Degrees (..., 2) to pixels of this view."""
        return pixels(lonlat, self.zoom) - (self.left, self.top)

    def grown(self, by: int) -> "View":
        """The view with `by` more pixels on every side."""
        width, height = self.width + 2 * by, self.height + 2 * by
        return replace(self, left=self.left - by, top=self.top - by, width=width, height=height)

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

    def __call__(self, grid: Field) -> Field:
        """A grid at the view's pixels, shape (height, width)."""
        part = np.ascontiguousarray(grid[self.rows, self.cols], dtype=np.float32)
        return np.asarray(self.by_row @ part @ self.by_col, dtype=np.float32)


def sampler(frame: Frame, view: View) -> Sampler:
    """The sampler of a view; pixels off the map repeat its edge."""
    west, _, _, north = frame.bounds
    dx, dy = frame.degrees
    # Longitude depends on x alone and latitude on y alone: both are read along a diagonal.
    along = np.arange(max(view.width, view.height)) + 0.5
    place = degrees(np.stack([view.left + along, view.top + along], axis=-1), view.zoom)
    lon, lat = place[: view.width, 0], place[: view.height, 1]
    cols, by_col = _weights((lon - west) / dx, frame.cols)
    rows, by_row = _weights((north - lat) / dy, frame.rows)
    return Sampler(rows, cols, by_row, np.ascontiguousarray(by_col.T))


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
