"""Tile arithmetic. Sources beside the checks; pyproj's EPSG:3857 is the oracle for the rest."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Geod, Transformer

from trapline.demo.terrain.draw.tilemath import (
    LAT_MAX,
    degrees,
    metres_per_pixel,
    pixels,
    tile_at,
    tile_bounds,
    tiles_over,
)

TO_MERCATOR = Transformer.from_crs("EPSG:4326", "EPSG:3857", always_xy=True)
# OGC 17-083r4, Annex D, WebMercatorQuad: the point of origin, and the cell size at each matrix.
ORIGIN_M = 20_037_508.3427892
CELL_SIZE_M = {0: 156543.033928041, 1: 78271.5169640204, 2: 39135.7584820102, 5: 4891.96981025128}

places = st.tuples(st.floats(-179.9, 179.9), st.floats(-85, 85))
zooms = st.integers(0, 18)


def test_tiles_of_places_are_those_published() -> None:
    # The documentation and tests of the library mercantile (Mapbox, BSD).
    assert tile_at(20.6852, 40.1222, 9) == (285, 193)
    assert tile_at(-105.0, 40.0, 1) == (0, 0)
    west, south, east, north = tile_bounds(10, 486, 332)
    assert (west, north) == pytest.approx((-9.140625, 53.33087298301705), abs=1e-12)
    assert (east, south) == pytest.approx((-8.7890625, 53.12040528310657), abs=1e-12)
    assert tile_bounds(1, 0, 0) == pytest.approx((-180.0, 0.0, 0.0, 85.0511287798066), abs=1e-9)
    assert tile_bounds(6, 20, 35) == pytest.approx(
        (-67.5, -21.943045533438177, -61.875, -16.636191878397653), abs=1e-12
    )


def test_the_world_ends_where_it_should() -> None:
    # The wiki of OpenStreetMap, "Slippy map tilenames": one tile is 360 x 170.1022 degrees.
    assert pytest.approx(170.1022, abs=1e-4) == 2 * LAT_MAX
    assert tile_bounds(0, 0, 0) == pytest.approx((-180, -LAT_MAX, 180, LAT_MAX))
    assert tile_at(180, -89, 3) == (7, 7)
    assert tile_at(-180, 89, 3) == (0, 0)


@pytest.mark.parametrize("zoom", CELL_SIZE_M)
def test_a_pixel_is_as_large_as_the_standard_says(zoom: int) -> None:
    assert metres_per_pixel(0.0, zoom) == pytest.approx(CELL_SIZE_M[zoom], rel=1e-12)


@given(place=places, zoom=zooms)
def test_pixels_are_mercator_metres(place: tuple[float, float], zoom: int) -> None:
    x, y = TO_MERCATOR.transform(*place)
    cell = CELL_SIZE_M[0] / 2**zoom
    expected = ((x + ORIGIN_M) / cell, (ORIGIN_M - y) / cell)
    assert pixels(place, zoom) == pytest.approx(expected, rel=1e-9, abs=1e-6)
    assert degrees(pixels(place, zoom), zoom) == pytest.approx(place, abs=1e-9)


@given(place=places, zoom=zooms)
def test_a_place_lies_in_its_tile(place: tuple[float, float], zoom: int) -> None:
    west, south, east, north = tile_bounds(zoom, *tile_at(*place, zoom))
    assert west - 1e-9 <= place[0] <= east + 1e-9
    assert south - 1e-9 <= place[1] <= north + 1e-9


@given(place=places, zoom=st.integers(3, 14), size=st.floats(0.01, 2))
def test_the_tiles_over_an_area_cover_it_and_no_more(
    place: tuple[float, float], zoom: int, size: float
) -> None:
    west, south = min(place[0], 177.9), min(place[1], 82.9)
    xs, ys = tiles_over((west, south, west + size, south + size), zoom)
    left, bottom, _, _ = tile_bounds(zoom, xs[0], ys[-1])
    _, _, right, top = tile_bounds(zoom, xs[-1], ys[0])
    assert left <= west + 1e-9 and right >= west + size - 1e-9
    assert bottom <= south + 1e-9 and top >= south + size - 1e-9
    assert tile_bounds(zoom, xs[0], ys[0])[2] >= west - 1e-9  # each outer tile touches the area
    assert tile_bounds(zoom, xs[-1], ys[-1])[3] >= south - 1e-9


@given(lat=st.floats(-70, 70), zoom=st.integers(8, 16))
def test_ground_sizes_are_geodesic_within_the_ellipsoid_s_difference(lat: float, zoom: int) -> None:
    east = degrees(pixels((10.0, lat), zoom) + np.array([1.0, 0.0]), zoom)
    _, _, true = Geod(ellps="WGS84").inv(10.0, lat, *east.tolist())
    # The sphere of EPSG:3857 against WGS 84: at most 0.34 % along a parallel.
    assert metres_per_pixel(lat, zoom) == pytest.approx(true, rel=3.4e-3)
