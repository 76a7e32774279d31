"""Degrees and metres. Oracle: pyproj's geodesics on WGS 84 (GeographicLib's algorithms)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Geod

from trapline.demo.terrain.frame import AREA, Frame, metres_per_degree

WGS84 = Geod(ellps="WGS84")


@given(lat=st.floats(-80, 80))
def test_a_degree_is_as_long_as_the_geodesic_says(lat: float) -> None:
    east, north = metres_per_degree(lat)
    step = 1e-4
    _, _, along_parallel = WGS84.inv(0, lat, step, lat)
    _, _, along_meridian = WGS84.inv(0, lat - step / 2, 0, lat + step / 2)
    assert east == pytest.approx(along_parallel / step, rel=1e-6)
    assert north == pytest.approx(along_meridian / step, rel=1e-6)


def test_the_area_is_24_km_wide_and_tall() -> None:
    west, south, east, north = AREA.bounds
    _, _, wide = WGS84.inv(west, AREA.lat, east, AREA.lat)
    _, _, tall = WGS84.inv(AREA.lon, south, AREA.lon, north)
    assert wide == pytest.approx(24_000, rel=1e-3)
    assert tall == pytest.approx(24_000, rel=1e-3)


def test_distances_on_the_grid_are_true_within_half_a_per_cent() -> None:
    rng = np.random.default_rng(3)
    a, b = rng.uniform(0, 24_000, (2, 500, 2))
    lon_a, lat_a = AREA.lonlat(a).T
    lon_b, lat_b = AREA.lonlat(b).T
    _, _, true = WGS84.inv(lon_a, lat_a, lon_b, lat_b)
    assert np.linalg.norm(a - b, axis=1) == pytest.approx(true, rel=5e-3)


@given(x=st.floats(0, 24_000), y=st.floats(0, 24_000))
def test_a_point_comes_back_from_degrees(x: float, y: float) -> None:
    back = AREA.metres(AREA.lonlat((x, y)))
    assert back == pytest.approx((x, y), abs=0.12)  # the sixth decimal of a degree


def test_the_transform_puts_the_first_cell_in_the_north_west() -> None:
    frame = Frame(10.0, 60.0, 100.0, 20, 30)
    west, width, _, north, _, height = frame.transform
    assert (west, north) == (frame.bounds[0], frame.bounds[3])
    assert width > 0 > height
    first = frame.metres((west + width / 2, north + height / 2))
    assert [int(part) for part in frame.cells(first)] == [0, 0]
    last = frame.metres((west + 29.5 * width, north + 19.5 * height))
    assert [int(part) for part in frame.cells(last)] == [19, 29]
