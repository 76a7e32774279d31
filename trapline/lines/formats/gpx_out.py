"""Sets as waypoints and lines' paths as routes: GPX 1.1, written with gpxpy."""

import re
from collections.abc import Iterable

from gpxpy.gpx import GPX, GPXRoute, GPXRoutePoint, GPXWaypoint

from trapline.lines.formats.placed import PathOut, SetOut

# XML 1.0, production 2: what a document may hold.
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def write(sets: Iterable[SetOut], paths: Iterable[PathOut] = ()) -> bytes:
    """The file's bytes, UTF-8."""
    book = GPX()
    book.creator = "Lineward"
    book.waypoints = [_waypoint(one) for one in sets]
    book.routes = [_route(one) for one in paths]
    text: str = book.to_xml(version="1.1")
    return text.encode()


def _waypoint(one: SetOut) -> GPXWaypoint:
    told = (one.line, one.device, one.placement, one.responsible)
    return GPXWaypoint(
        latitude=one.lat,
        longitude=one.lon,
        time=one.placed_at,
        name=_clean(one.label),
        description=_clean(", ".join(text for text in told if text)),
        comment=None if one.due_at is None else one.due_at.isoformat(),
        type="set",
    )


def _route(one: PathOut) -> GPXRoute:
    route = GPXRoute(name=_clean(one.name))
    route.points = [GPXRoutePoint(latitude=lat, longitude=lon) for lon, lat in one.places]
    return route


def _clean(text: str) -> str:
    return _NOT_XML.sub("\ufffd", text)
