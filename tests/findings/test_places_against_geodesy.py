"""Setbacks and permissions against geometry computed by other libraries.

pyproj.Geod for distances over WGS 84 (GeographicLib's geodesics, Karney 2013); shapely for what
lies in what: a parcel's edges are great circles on the sphere, and the gnomonic projection draws
each of those as a straight line.
"""

import math
import random
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
import shapely
from django.db import connection
from pyproj import Geod

from tests.bench.stand import LAY
from tests.findings.scene import codes, found, rule, sign_off, take
from tests.world import START, World
from trapline.binding.world import World as AsOf
from trapline.findings.facts import facts
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.record.desk import submit
from trapline.standing.fold import fold

pytestmark = pytest.mark.django_db
GEOD = Geod(ellps="WGS84")
LonLat = tuple[float, float]
SET_IDS = "SELECT id FROM lines_set WHERE team_id = %s ORDER BY id"


def draw(world: World, kind: str, shape: dict[str, Any]) -> None:
    body = {"feature": new_id(), "kind": kind, "name": "drawn", "shape": shape}
    submit(world.manager, "draw_feature", body, at=START, now=START)


def keep(world: World, *rings: list[LonLat]) -> None:
    body = {
        "permission": new_id(), "name": "Parcel", "holder": "A neighbour",
        "parcel": {"type": "Polygon", "coordinates": [[*ring, ring[0]] for ring in rings]},
        "valid_from": "2025-07-01", "valid_until": "2026-06-30",
    }  # fmt: skip
    submit(world.manager, "keep_permission", body, at=START, now=START)


def box(west: float, south: float, east: float, north: float) -> list[LonLat]:
    return [(west, south), (east, south), (east, north), (west, north)]


def setback(far: float, kind: str = "dwelling", **more: Any) -> dict[str, Any]:
    params = {"feature": kind, "at_least_m": far}
    return rule(f"far-{kind}-{far:.0f}", "setback", "from_feature", params, **more)


@pytest.mark.parametrize(
    "place", [(-128.40, 61.90), (25.0, 78.2), (179.9995, -16.5), (0.0, 0.0)],
    ids=["here", "high latitude", "beside the antimeridian", "equator"],
)  # fmt: skip
def test_a_set_just_within_a_setback_is_found_and_one_just_outside_is_not(
    world: World, place: LonLat
) -> None:
    """To the centimetre, against pyproj; across the antimeridian the dwelling lies at 179.99 W."""
    sign_off(world, "snare")
    azimuth = 90.0
    for far, expected in ((149.99, {"too_near"}), (150.01, set())):
        lon, lat, _ = GEOD.fwd(*place, azimuth, far)
        draw(world, "dwelling", {"type": "Point", "coordinates": [lon, lat]})
        set_id = world.set(f"A-{far}", place=place)
        take(world, setback(150.0))
        assert codes(world, set_id) == expected, far
        if expected:
            told = found(world, set_id)["too_near:dwelling"]["distance_m"]
            assert told == pytest.approx(GEOD.inv(*place, lon, lat)[2], abs=0.001)
        with connection.cursor() as cursor:
            cursor.execute("DELETE FROM land_feature")


def test_of_several_setbacks_the_strictest_binds_and_brings_its_rule(world: World) -> None:
    from trapline.findings.models import Finding

    sign_off(world, "snare")
    lon, lat, _ = GEOD.fwd(-128.40, 61.90, 10.0, 120.0)
    draw(world, "dwelling", {"type": "Point", "coordinates": [lon, lat]})
    set_id = world.set("A")
    ours = {**setback(150.0), "code": "ours", "authority": "team"}
    take(world, setback(100.0), ours)
    with team_scope(world.team):
        one = Finding.objects.select_related("rule").get(set=set_id, code="too_near")
    assert (one.rule.code, one.numbers["at_least_m"]) == ("ours", 150.0)
    take(world, setback(100.0), at=START + timedelta(hours=1))
    assert codes(world, set_id) == set()


def test_a_parcel_with_a_hole_holds_what_is_not_in_the_hole(world: World) -> None:
    sign_off(world, "snare")
    keep(world, box(-128.5, 61.8, -128.3, 62.0), box(-128.42, 61.88, -128.38, 61.92)[::-1])
    assert codes(world, world.set("hole")) == {"no_permission"}
    assert codes(world, world.set("ring", place=(-128.45, 61.90))) == set()
    assert codes(world, world.set("out", place=(-128.55, 61.90))) == {"no_permission"}


def test_a_set_on_the_boundary_of_a_parcel_is_covered_by_it(world: World) -> None:
    """ST_Covers, as the simple-features term has it: the boundary belongs to the area."""
    sign_off(world, "snare")
    keep(world, box(-128.5, 61.8, -128.3, 62.0))
    assert codes(world, world.set("edge", place=(-128.5, 61.9))) == set()
    assert codes(world, world.set("beyond", place=(-128.50001, 61.9))) == {"no_permission"}


def test_a_parcel_across_the_antimeridian_holds_both_its_sides(world: World) -> None:
    sign_off(world, "snare")
    halves = [
        [[179.9, -16.6], [180.0, -16.6], [180.0, -16.4], [179.9, -16.4], [179.9, -16.6]],
        [[-180.0, -16.6], [-179.9, -16.6], [-179.9, -16.4], [-180.0, -16.4], [-180.0, -16.6]],
    ]
    body = {
        "permission": new_id(), "name": "Parcel", "holder": "A neighbour",
        "parcel": {"type": "MultiPolygon", "coordinates": [[half] for half in halves]},
        "valid_from": "2025-07-01", "valid_until": "2026-06-30",
    }  # fmt: skip
    submit(world.manager, "keep_permission", body, at=START, now=START)
    east, west = world.set("E", place=(179.95, -16.5)), world.set("W", place=(-179.95, -16.5))
    out = world.set("O", place=(-179.85, -16.5))
    assert [codes(world, one) for one in (east, west, out)] == [set(), set(), {"no_permission"}]


def _gnomonic(point: LonLat, middle: LonLat) -> LonLat:
    """On the sphere of geodetic latitudes, where PostGIS looks whether an area covers a point."""
    lon, lat, lon0, lat0 = (math.radians(v) for v in (*point, *middle))
    down = math.sin(lat0) * math.sin(lat) + math.cos(lat0) * math.cos(lat) * math.cos(lon - lon0)
    x = math.cos(lat) * math.sin(lon - lon0) / down
    y = math.cos(lat0) * math.sin(lat) - math.sin(lat0) * math.cos(lat) * math.cos(lon - lon0)
    return x, y / down


def _scatter(world: World, count: int, seed: int) -> tuple[list[UUID], list[LonLat]]:
    """Sets at random places, laid by SQL and folded by the program's own fold."""
    chance = random.Random(seed)
    places = [(chance.uniform(-128.5, -128.3), chance.uniform(61.8, 62.0)) for _ in range(count)]
    with connection.cursor() as cursor:
        cursor.execute(LAY, {
            "team": world.team, "first": 1, "last": count, "placed": START,
            "kind": world.kinds["snare"], "line": world.line, "licence": world.licence,
            "who": world.student.member,
        })  # fmt: skip
        cursor.execute(SET_IDS, [world.team])
        ids = [row[0] for row in cursor.fetchall()]
        fold(world.team, ids)
        cursor.execute(
            "UPDATE standing_setstate s SET place ="
            " ST_SetSRID(ST_MakePoint(p.lon, p.lat), 4326)::geography"
            " FROM unnest(%s::uuid[], %s::float8[], %s::float8[]) AS p (id, lon, lat)"
            " WHERE s.set_id = p.id",
            [ids, [lon for lon, _ in places], [lat for _, lat in places]],
        )
    return ids, places


@pytest.mark.parametrize(
    "count", [300, pytest.param(10_000, marks=pytest.mark.long)], ids=["short", "10,000"]
)
def test_facts_of_random_sets_agree_with_pyproj_and_shapely(world: World, count: int) -> None:
    chance = random.Random(7)
    dwellings = [(chance.uniform(-128.5, -128.3), chance.uniform(61.8, 62.0)) for _ in range(60)]
    for lon, lat in dwellings:
        draw(world, "dwelling", {"type": "Point", "coordinates": [lon, lat]})
    outer = [
        (-128.47, 61.83),
        (-128.33, 61.85),
        (-128.31, 61.97),
        (-128.40, 61.99),
        (-128.48, 61.94),
    ]
    hole = [(-128.42, 61.88), (-128.39, 61.92), (-128.37, 61.89)]
    keep(world, outer, hole)
    reach = 400.0
    take(world, setback(reach))
    with team_scope(world.team):
        ids, places = _scatter(world, count, seed=11)
        read = facts(world.team, ids, AsOf(START))
    row = {key: number for number, key in enumerate(read.ids.tolist())}
    middle = (-128.4, 61.9)
    area = shapely.Polygon([_gnomonic(p, middle) for p in outer],
                           [[_gnomonic(p, middle) for p in hole]])  # fmt: skip
    near = 0
    for key, (lon, lat) in zip(ids, places, strict=True):
        number = row[key]
        some = [
            GEOD.inv(lon, lat, *one)[2] for one in dwellings
            if abs(one[0] - lon) < 0.02 and abs(one[1] - lat) < 0.01
        ]  # fmt: skip
        nearest = min(some, default=math.inf)
        if nearest < reach - 0.001:
            assert read.dwelling_m[number] == pytest.approx(nearest, abs=0.001)
            near += 1
        elif nearest > reach + 0.001:
            assert math.isnan(read.dwelling_m[number])
        point = shapely.Point(_gnomonic((lon, lat), middle))
        if point.distance(area.boundary) > 1e-9:  # about a centimetre
            assert bool(read.leave_ever[number]) == area.contains(point)
    assert near > count // 20
