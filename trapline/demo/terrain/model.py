"""What `build` returns: an invented valley, ready to be drawn and lived in."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .frame import Floats, Frame
from .scene import Scene

Geometry = dict[str, Any]  # a GeoJSON geometry (RFC 7946), longitude and latitude on WGS 84


@dataclass(frozen=True)
class Feature:
    """Something with a shape. `kind` is one of trail, road, dwelling, water, boundary, or one
    that only the map uses: cabin, bridge, lodge, peak, marsh."""

    kind: str
    name: str
    geometry: Geometry
    facts: dict[str, float | str] = field(default_factory=dict)


@dataclass(frozen=True)
class SetPlace:
    """A candidate place for a set."""

    number: int  # 1..60, by line and then along it
    line: str
    lon: float
    lat: float
    at_m: float  # along the line from the cabin
    species: str
    placement: str  # land, water_edge, submersion, under_ice, elevated
    device_class: str
    site: str
    zone: str  # code of the zone it lies in


@dataclass(frozen=True)
class Terrain:
    """The valley. Grids have row 0 in the north; `frame` says where they lie."""

    seed: int
    frame: Frame
    elevation: NDArray[np.float32]  # (rows, cols) metres; the level on lakes
    depth: NDArray[np.float32]  # (rows, cols) metres of standing water
    water: NDArray[np.uint8]  # (rows, cols) 0 land, 1 creek, 2 lake
    receiver: NDArray[np.int32]  # (rows, cols) flat index of the cell downstream, -1 off the area
    catchment: NDArray[np.float32]  # (rows, cols) km²
    cover: NDArray[np.uint8]  # (rows, cols) of cover.Kind
    features: tuple[Feature, ...]
    lines: tuple[Feature, ...]  # three, kind "line", LineString from the cabin
    sets: tuple[SetPlace, ...]  # sixty
    zones: tuple[Feature, ...]  # two, kind "zone", Polygon; facts: code
    parcels: tuple[Feature, ...]  # six, kind "parcel", Polygon; facts: holder
    scene: Scene = field(repr=False, compare=False)  # in metres, for drawing

    @property
    def transform(self) -> tuple[float, float, float, float, float, float]:
        """GDAL's geotransform of the grids."""
        return self.frame.transform

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """(west, south, east, north) in degrees."""
        return self.frame.bounds

    def of(self, kind: str) -> tuple[Feature, ...]:
        """The features of one kind."""
        return tuple(feature for feature in self.features if feature.kind == kind)

    def height_at(self, lon: float, lat: float) -> float:
        """Height in metres at a place, that of its cell."""
        cell: Floats = self.frame.metres((lon, lat))
        return float(self.elevation[self.frame.cells(cell)])
