"""A zone's outline as a geometry, and what is wrong with one."""

from collections.abc import Iterator

from django.contrib.gis.geos import MultiPolygon, Polygon

from trapline.ground.errors import Problem
from trapline.rulebook import parts

WGS84 = 4326


def geometry(area: parts.Polygon | parts.MultiPolygon) -> MultiPolygon:
    """The outline in longitude and latitude. A third number (height) is left out."""
    return MultiPolygon([_polygon(rings) for rings in area.polygons], srid=WGS84)


def same(one: MultiPolygon, other: MultiPolygon) -> bool:
    """Whether two outlines have the same corners, wherever a ring begins and whichever way it goes.

    Not `equals`: on the globe a corner added on a straight line of the chart moves the line.
    """
    return bytes(_normal(one).wkb) == bytes(_normal(other).wkb)


def problems_in(area: parts.Polygon | parts.MultiPolygon, field: str) -> Iterator[Problem]:
    """What keeps the outline from being one on the globe."""
    found = False
    for place, ring in _rings(area, field):
        for problem in _in_ring(place, ring):
            found = True
            yield problem
    if not found and not (made := geometry(area)).valid:
        yield Problem(f"{field}.coordinates", "outline_invalid", {"said": made.valid_reason})


def _in_ring(place: str, ring: parts.Ring) -> Iterator[Problem]:
    for number, position in enumerate(ring):
        if not (-180.0 <= position[0] <= 180.0 and -90.0 <= position[1] <= 90.0):
            values = {"lon": position[0], "lat": position[1]}
            yield Problem(f"{place}.{number}", "outline_off_the_globe", values)
            return
    if ring[0] != ring[-1]:
        yield Problem(place, "outline_open", {})
    longitudes = [position[0] for position in ring]
    if max(longitudes) - min(longitudes) >= 180.0:
        # RFC 7946, 3.1.9: one that crosses the antimeridian is cut in two there.
        yield Problem(place, "outline_too_wide", {})


def _rings(
    area: parts.Polygon | parts.MultiPolygon, field: str
) -> Iterator[tuple[str, parts.Ring]]:
    whole = f"{field}.coordinates"
    for one, rings in enumerate(area.polygons):
        within = whole if isinstance(area, parts.Polygon) else f"{whole}.{one}"
        for number, ring in enumerate(rings):
            yield f"{within}.{number}", ring


def _polygon(rings: parts.Rings) -> Polygon:
    return Polygon(*([position[:2] for position in ring] for ring in rings), srid=WGS84)


def _normal(shape: MultiPolygon) -> MultiPolygon:
    normal: MultiPolygon = shape.clone()
    normal.normalize()
    return normal
