"""Zones and parcels. Oracle: GEOS, through GeoDjango."""

import numpy as np
import pytest
from django.contrib.gis.geos import (
    GeometryCollection,
    GEOSGeometry,
    LineString,
    Point,
    Polygon,
)
from pyproj import Transformer

from trapline.demo.terrain.land import split
from trapline.demo.terrain.model import Feature, Terrain
from trapline.demo.terrain.outline import area, distance_to_line


def shape(feature: Feature) -> Polygon:
    outer, *holes = feature.geometry["coordinates"]
    return Polygon(outer, *holes)


@pytest.mark.parametrize("what", ["zones", "parcels"])
def test_they_tile_the_area_without_overlap(any_valley: Terrain, what: str) -> None:
    shapes = [shape(feature) for feature in getattr(any_valley, what)]
    whole = Polygon.from_bbox(any_valley.bounds)
    union: GEOSGeometry = shapes[0]
    for number, one in enumerate(shapes):
        assert one.valid
        for other in shapes[number + 1 :]:
            assert one.intersection(other).area < 1e-9 * whole.area
        union = union.union(one)
    # Coordinates are rounded to the sixth decimal, 0.1 m on a side of 24 km.
    assert union.sym_difference(whole).area < 2e-5 * whole.area


def test_outer_rings_run_anticlockwise(any_valley: Terrain) -> None:
    """RFC 7946, section 3.1.6: the right-hand rule."""
    features = [*any_valley.zones, *any_valley.parcels, *any_valley.of("marsh")]
    features += [f for f in any_valley.of("water") if f.geometry["type"] == "Polygon"]
    for feature in features:
        outer, *holes = (np.array(ring) for ring in feature.geometry["coordinates"])
        up = np.array([1, -1])  # `area` reckons with y to the south
        assert area(outer * up) < 0
        assert all(area(hole * up) > 0 for hole in holes)


def test_the_zones_meet_along_the_main_creek(any_valley: Terrain) -> None:
    frame = any_valley.frame
    border = shape(any_valley.zones[0]).intersection(shape(any_valley.zones[1]))
    points = np.vstack([np.array(part.coords) for part in _parts(border)])
    creek = any_valley.scene.main.xy
    near = distance_to_line(frame.metres(points), creek) < 120
    assert near.mean() > 0.6


def test_every_polygon_is_valid(any_valley: Terrain) -> None:
    features = [*any_valley.features, *any_valley.zones, *any_valley.parcels]
    polygons = [f for f in features if f.geometry["type"] == "Polygon"]
    assert len(polygons) > 10
    assert [f.name for f in polygons if not shape(f).valid] == []


def _parts(geometry: GEOSGeometry) -> list[LineString]:
    """The lines of a collection."""
    parts = list(geometry) if isinstance(geometry, GeometryCollection) else [geometry]
    return [part for part in parts if isinstance(part, LineString)]


def test_each_zone_has_sets_and_each_set_lies_in_its_zone(any_valley: Terrain) -> None:
    zones = {str(zone.facts["code"]): shape(zone) for zone in any_valley.zones}
    for place in any_valley.sets:
        assert zones[place.zone].contains(Point(place.lon, place.lat))
    assert {place.zone for place in any_valley.sets} == set(zones)


def test_a_square_is_split_into_left_and_right() -> None:
    left, right = split(np.array([[0.0, 40.0], [50.0, 60.0], [100.0, 40.0]]), 100.0, 100.0)
    assert Polygon(left.tolist()).contains(Point(50, 10))  # heading east, the north is left
    assert Polygon(right.tolist()).contains(Point(50, 90))
    assert area(left) > 0 and area(right) > 0
    assert area(left) + area(right) == pytest.approx(100.0**2)


def test_zones_are_as_large_as_an_equal_area_projection_says(valley: Terrain) -> None:
    """The pair sums to 24 km x 24 km in Lambert's azimuthal equal-area projection (pyproj)."""
    flat = Transformer.from_crs(
        "EPSG:4326",
        f"+proj=laea +lat_0={valley.frame.lat} +lon_0={valley.frame.lon}",
        always_xy=True,
    )
    total = 0.0
    for zone in valley.zones:
        lon, lat = np.array(zone.geometry["coordinates"][0]).T
        total += Polygon(list(zip(*flat.transform(lon, lat), strict=True))).area
    assert total == pytest.approx(24_000.0**2, rel=2e-3)
