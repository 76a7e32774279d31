"""Web-mercator tiles: EPSG:3857 on the sphere of WGS 84's semi-major axis, XYZ numbering.

The grid is WebMercatorQuad of OGC 17-083r4 (Two Dimensional Tile Matrix Set): one 256 px tile at
zoom 0, twice as many each way at every zoom, y growing southward from the north-west corner.
"""

from math import floor

import numpy as np
from numpy.typing import ArrayLike

from ..frame import Floats

TILE_PX = 256
LAT_MAX = 85.0511287798066  # arctan(sinh(pi)), where the square world ends


def pixels(lonlat: ArrayLike, zoom: float) -> Floats:
    """Degrees (..., 2) to world pixels (x, y) at a zoom (which may be fractional)."""
    p = np.asarray(lonlat, dtype=np.float64)
    world = TILE_PX * 2.0**zoom
    lat = np.radians(np.clip(p[..., 1], -LAT_MAX, LAT_MAX))
    x = (p[..., 0] + 180) / 360
    y = (1 - np.arcsinh(np.tan(lat)) / np.pi) / 2
    return np.asarray(np.stack([x, y], axis=-1) * world)


def degrees(xy: ArrayLike, zoom: float) -> Floats:
    """World pixels (..., 2) to degrees: the inverse of `pixels`."""
    p = np.asarray(xy, dtype=np.float64) / (TILE_PX * 2.0**zoom)
    lat = np.degrees(np.arctan(np.sinh(np.pi * (1 - 2 * p[..., 1]))))
    return np.stack([p[..., 0] * 360 - 180, lat], axis=-1)


def tile_at(lon: float, lat: float, zoom: int) -> tuple[int, int]:
    """(x, y) of the tile that holds a place."""
    x, y = (pixels((lon, lat), zoom) / TILE_PX).tolist()
    last = 2**zoom - 1
    return min(max(floor(x), 0), last), min(max(floor(y), 0), last)


def tile_bounds(zoom: int, x: int, y: int) -> tuple[float, float, float, float]:
    """(west, south, east, north) of a tile in degrees."""
    west, north = degrees((x * TILE_PX, y * TILE_PX), zoom).tolist()
    east, south = degrees(((x + 1) * TILE_PX, (y + 1) * TILE_PX), zoom).tolist()
    return west, south, east, north


def tiles_over(bounds: tuple[float, float, float, float], zoom: int) -> tuple[range, range]:
    """The (x, y) ranges of the tiles that touch (west, south, east, north)."""
    west, south, east, north = bounds
    left, top = tile_at(west, north, zoom)
    right, bottom = tile_at(east, south, zoom)
    return range(left, right + 1), range(top, bottom + 1)


def metres_per_pixel(lat: float, zoom: float) -> float:
    """Ground size of a pixel on the sphere at a latitude."""
    return float(2 * np.pi * 6_378_137.0 * np.cos(np.radians(lat)) / (TILE_PX * 2.0**zoom))
