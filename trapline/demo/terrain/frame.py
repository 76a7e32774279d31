"""The demo area's frame: a grid of square cells in longitude and latitude.

Inside the package a point is (x, y) in metres from the north-west corner, x to the east and
y to the south, so that a cell is (row, col) = (y // cell_m, x // cell_m). Everything that leaves
the package is longitude and latitude on WGS 84 (EPSG:4326).
"""

from dataclasses import dataclass
from math import cos, radians, sin, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

SEMI_MAJOR_M = 6_378_137.0  # WGS 84, defining parameter (NIMA TR8350.2)
FLATTENING = 1 / 298.257223563


def metres_per_degree(lat: float) -> tuple[float, float]:
    """(east, north) metres of one degree at `lat` degrees, from the ellipsoid's two radii."""
    e2 = FLATTENING * (2 - FLATTENING)
    w = sqrt(1 - e2 * sin(radians(lat)) ** 2)
    meridian, normal = SEMI_MAJOR_M * (1 - e2) / w**3, SEMI_MAJOR_M / w
    return radians(1) * normal * cos(radians(lat)), radians(1) * meridian


@dataclass(frozen=True)
class Frame:
    """`rows` x `cols` cells of `cell_m` metres around (`lon`, `lat`), row 0 in the north.

    The scale is that of the centre: east-west lengths at the north and south edges of a 24 km
    area at 62 degrees differ from it by 0.4 %.
    """

    lon: float
    lat: float
    cell_m: float
    rows: int
    cols: int

    @property
    def degrees(self) -> tuple[float, float]:
        """(east, south) degrees of one cell."""
        east, north = metres_per_degree(self.lat)
        return self.cell_m / east, self.cell_m / north

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """(west, south, east, north) in degrees."""
        dx, dy = self.degrees
        half_x, half_y = dx * self.cols / 2, dy * self.rows / 2
        return self.lon - half_x, self.lat - half_y, self.lon + half_x, self.lat + half_y

    @property
    def transform(self) -> tuple[float, float, float, float, float, float]:
        """GDAL's geotransform: (west, width, 0, north, 0, -height), degrees, cell corners."""
        dx, dy = self.degrees
        west, _, _, north = self.bounds
        return west, dx, 0.0, north, 0.0, -dy

    @property
    def size_m(self) -> tuple[float, float]:
        """(width, height) in metres."""
        return self.cols * self.cell_m, self.rows * self.cell_m

    def lonlat(self, xy: ArrayLike) -> Floats:
        """Points of shape (..., 2) in metres to degrees, rounded to 1e-6 (about 0.1 m)."""
        west, _, _, north = self.bounds
        dx, dy = self.degrees
        p = np.asarray(xy, dtype=np.float64) / self.cell_m
        place = np.stack([west + p[..., 0] * dx, north - p[..., 1] * dy], axis=-1)
        return np.asarray(np.round(place, 6), dtype=np.float64)

    def metres(self, lonlat: ArrayLike) -> Floats:
        """The inverse of `lonlat`: points of shape (..., 2) in degrees to metres."""
        west, _, _, north = self.bounds
        dx, dy = self.degrees
        p = np.asarray(lonlat, dtype=np.float64)
        cells = np.stack([(p[..., 0] - west) / dx, (north - p[..., 1]) / dy], axis=-1)
        return cells * self.cell_m

    def cells(self, xy: ArrayLike) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """(rows, cols) of the cells under points in metres; points outside go to the edge cell."""
        p = np.floor(np.asarray(xy, dtype=np.float64) / self.cell_m).astype(np.intp)
        return np.clip(p[..., 1], 0, self.rows - 1), np.clip(p[..., 0], 0, self.cols - 1)

    def centres(self, rows: ArrayLike, cols: ArrayLike) -> Floats:
        """Centres of cells in metres, shape (..., 2)."""
        r, c = np.asarray(rows, dtype=np.float64), np.asarray(cols, dtype=np.float64)
        return (np.stack([c, r], axis=-1) + 0.5) * self.cell_m


# A spot in the boreal forest, 24 km x 24 km. Nothing on the demo's map is really there.
AREA = Frame(lon=-128.4, lat=61.9, cell_m=40.0, rows=600, cols=600)
