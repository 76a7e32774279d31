"""Zones of a GeoJSON file (RFC 7946): polygons, each with its `code` and, if it has one, `name`."""

from typing import Any

from trapline.ground.errors import Problem, Refused
from trapline.rulebook.reading import Lines, dotted, line_of, read_file

AREAS = ("Polygon", "MultiPolygon")


def zones_of(raw: bytes) -> list[dict[str, Any]]:
    """The file's zones as a rulebook has them, in its order.

    Raises Refused with path and line; outlines are judged when the rulebook is read.
    """
    data, lines = read_file(raw)
    if not isinstance(data, dict) or data.get("type") not in ("FeatureCollection", "Feature"):
        raise Refused(Problem("type", "zones_no_collection", {"line": 1}))
    single = data["type"] == "Feature"
    features = [data] if single else data.get("features")
    if not isinstance(features, list) or not features:
        raise Refused(Problem("features", "zones_no_collection", {"line": 1}))
    found = [
        _zone(one, () if single else ("features", number), lines)
        for number, one in enumerate(features)
    ]
    if problems := [one for one in found if isinstance(one, Problem)]:
        raise Refused(*problems)
    return [one for one in found if isinstance(one, dict)]


def _zone(feature: Any, path: tuple[str | int, ...], lines: Lines) -> dict[str, Any] | Problem:
    line = {"line": line_of(lines, path)}
    feature = feature if isinstance(feature, dict) else {}
    area, said = feature.get("geometry"), feature.get("properties")
    if not isinstance(area, dict) or area.get("type") not in AREAS:
        return Problem(dotted((*path, "geometry")), "zones_no_polygon", line)
    said = said if isinstance(said, dict) else {}
    code = said.get("code", feature.get("id"))
    if not isinstance(code, str | int) or isinstance(code, bool) or not str(code).strip():
        return Problem(dotted((*path, "properties")), "zones_no_code", line)
    name = said.get("name")
    return {
        "code": str(code).strip(),
        "name": str(name).strip() if name else str(code).strip(),
        "area": {"type": area["type"], "coordinates": area.get("coordinates")},
    }
