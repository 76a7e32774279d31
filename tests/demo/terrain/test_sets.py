"""The sixty places. Distances by GEOS in an azimuthal equidistant projection of the middle of the
area (pyproj), whose scale is true within one in a million over 17 km."""

from collections import Counter
from itertools import combinations

import numpy as np
import pytest
from django.contrib.gis.geos import GEOSGeometry, LineString, MultiLineString, Point, Polygon
from pyproj import Geod, Transformer

from trapline.demo.terrain import names
from trapline.demo.terrain.frame import AREA
from trapline.demo.terrain.model import Feature, SetPlace, Terrain
from trapline.demo.terrain.setplaces import PER_LINE, REACH_M
from trapline.gear.models import DeviceClass
from trapline.land.models import Placement

MIDDLE = f"+proj=aeqd +lat_0={AREA.lat} +lon_0={AREA.lon}"
TO_METRES = Transformer.from_crs("EPSG:4326", MIDDLE, always_xy=True)


def flat(feature: Feature) -> GEOSGeometry:
    """The outline or line of a feature in true metres around the middle of the area."""
    coordinates = feature.geometry["coordinates"]
    rings = coordinates if feature.geometry["type"] == "Polygon" else [coordinates]
    lines = [LineString(np.stack(TO_METRES.transform(*np.array(r).T), -1).tolist()) for r in rings]
    return MultiLineString(lines)


@pytest.fixture(scope="module")
def outlines(any_valley: Terrain) -> dict[str, list[GEOSGeometry]]:
    """Lines, lakes' shores and creeks, by kind, in metres."""
    water = any_valley.of("water")
    return {
        "line": [flat(line) for line in any_valley.lines],
        "lake": [flat(f) for f in water if f.facts["of"] == "lake"],
        "creek": [flat(f) for f in water if f.facts["of"] == "creek"],
    }


def spot(lon: float, lat: float) -> GEOSGeometry:
    return Point(*TO_METRES.transform(lon, lat))


def metres_off(place: SetPlace, shapes: list[GEOSGeometry]) -> float:
    here = spot(place.lon, place.lat)
    return min(float(shape.distance(here)) for shape in shapes)


def test_there_are_twenty_on_each_of_three_lines(any_valley: Terrain) -> None:
    assert [place.number for place in any_valley.sets] == list(range(1, 61))
    assert Counter(place.line for place in any_valley.sets) == dict.fromkeys(names.LINES, PER_LINE)
    for line in names.LINES:
        at = [place.at_m for place in any_valley.sets if place.line == line]
        assert at == sorted(at)


def test_each_lies_by_its_line_where_it_says(
    any_valley: Terrain, outlines: dict[str, list[GEOSGeometry]]
) -> None:
    for place in any_valley.sets:
        number = names.LINES.index(place.line)
        line = any_valley.lines[number]
        assert metres_off(place, [outlines["line"][number]]) <= REACH_M * 1.01
        path = any_valley.frame.metres(line.geometry["coordinates"])
        steps = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
        on_line = [np.interp(place.at_m, steps, path[:, axis]) for axis in (0, 1)]
        here = any_valley.frame.metres((place.lon, place.lat))
        assert np.linalg.norm(here - on_line) <= REACH_M * 1.01


def test_no_two_stand_on_each_other(any_valley: Terrain) -> None:
    wgs84 = Geod(ellps="WGS84")
    for one, other in combinations(any_valley.sets, 2):
        assert wgs84.inv(one.lon, one.lat, other.lon, other.lat)[2] > 35


def test_the_words_are_those_of_the_trade(any_valley: Terrain) -> None:
    assert {place.placement for place in any_valley.sets} == set(Placement.values)
    assert {place.device_class for place in any_valley.sets} <= set(DeviceClass.values)
    assert len({place.species for place in any_valley.sets}) >= 8


@pytest.mark.parametrize("placement", ["water_edge", "submersion"])
def test_water_sets_stand_at_the_water(
    any_valley: Terrain, outlines: dict[str, list[GEOSGeometry]], placement: str
) -> None:
    found = [place for place in any_valley.sets if place.placement == placement]
    assert found
    for place in found:
        assert metres_off(place, outlines["lake"] + outlines["creek"]) < 3


def test_beaver_sets_are_under_the_ice_by_a_lodge(
    any_valley: Terrain, outlines: dict[str, list[GEOSGeometry]]
) -> None:
    lakes = [f for f in any_valley.of("water") if f.facts["of"] == "lake"]
    lodges = [spot(*f.geometry["coordinates"]) for f in any_valley.of("lodge")]
    beaver = [place for place in any_valley.sets if place.placement == "under_ice"]
    assert len(beaver) == 7 and {place.species for place in beaver} == {"beaver"}
    afloat = 0
    for place in beaver:
        here = Point(place.lon, place.lat)
        in_lake = any(Polygon(*f.geometry["coordinates"]).contains(here) for f in lakes)
        afloat += in_lake
        assert in_lake or metres_off(place, outlines["creek"]) < 3
        assert metres_off(place, lodges) < 20
    assert afloat >= 4


def test_marten_sets_hang_in_the_trees_and_land_sets_are_dry(any_valley: Terrain) -> None:
    trees = any_valley.scene.cover.trees
    frame = any_valley.frame
    for place in any_valley.sets:
        cell = frame.cells(frame.metres((place.lon, place.lat)))
        if place.species == "marten":
            assert trees[cell] > 0.5
        if place.placement in ("land", "elevated"):
            assert any_valley.depth[cell] == 0


def test_lines_are_a_day_on_foot_and_start_at_the_cabin(any_valley: Terrain) -> None:
    cabin_lon, cabin_lat = any_valley.of("cabin")[0].geometry["coordinates"]
    wgs84 = Geod(ellps="WGS84")
    for line in any_valley.lines:
        lon, lat = np.array(line.geometry["coordinates"]).T
        assert wgs84.inv(cabin_lon, cabin_lat, lon[0], lat[0])[2] < 1
        true_m = wgs84.line_length(lon, lat)
        assert true_m == pytest.approx(float(line.facts["length_m"]), rel=5e-3)
        assert 4_000 < true_m < 20_000
    for line in any_valley.lines[1:]:
        assert line.geometry["coordinates"][0] == line.geometry["coordinates"][-1]  # loops
