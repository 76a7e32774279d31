"""Features of a GeoJSON file (RFC 7946): WGS 84, longitude first."""

import json
from typing import Any, NoReturn

from trapline.ground.errors import Problem, Refused
from trapline.ground.files import bounded
from trapline.land.formats.found import MOST_FEATURES, Found

GEOMETRIES = (
    "Point", "LineString", "MultiLineString", "Polygon", "MultiPolygon", "MultiPoint",
    "GeometryCollection",
)  # fmt: skip
# Names of WGS 84 with longitude and latitude, as files before RFC 7946 say them.
WGS84 = ("CRS84", "EPSG::4326", "EPSG:4326")


def read(raw: bytes) -> list[Found]:
    """Every feature, in the file's order. Raises Refused when the file as a whole is none."""
    data = read_json(raw)
    features = _features(data)
    if len(features) > MOST_FEATURES:
        raise Refused(Problem("file", "file_too_many_features", {"most": MOST_FEATURES}))
    return [_found(number, one) for number, one in enumerate(features, start=1)]


def read_json(raw: bytes) -> dict[str, Any]:
    """The file's JSON object. Raises Refused with line and column."""
    bounded(raw)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        values: dict[str, Any] = {"line": raw.count(b"\n", 0, error.start) + 1}
        raise Refused(Problem("file", "file_not_text", values)) from None
    try:
        data = json.loads(text, parse_constant=_no_number)
    except json.JSONDecodeError as error:
        values = {"line": error.lineno, "column": error.colno, "said": error.msg}
        raise Refused(Problem("file", "json_broken", values)) from None
    except RecursionError:
        raise Refused(Problem("file", "geojson_other_kind")) from None
    if not isinstance(data, dict):
        raise Refused(Problem("file", "geojson_other_kind"))
    _on_wgs84(data.get("crs"))
    return data


def _no_number(name: str) -> NoReturn:
    raise Refused(Problem("file", "json_no_number", {"text": name}))


def _on_wgs84(crs: Any) -> None:
    """The old member `crs` may only say what RFC 7946 takes for granted."""
    if crs is None:
        return
    said = crs.get("properties", {}) if isinstance(crs, dict) else {}
    name = str(said.get("name", "")) if isinstance(said, dict) else ""
    if not name.endswith(WGS84):
        raise Refused(Problem("file", "geojson_other_crs", {"text": name[:80]}))


def _features(data: dict[str, Any]) -> list[Any]:
    if data.get("type") == "FeatureCollection":
        features = data.get("features")
        if not isinstance(features, list) or not features:
            raise Refused(Problem("file", "geojson_no_features"))
        return features
    if data.get("type") == "Feature":
        return [data]
    if data.get("type") in GEOMETRIES:
        return [{"type": "Feature", "geometry": data, "properties": None}]
    raise Refused(Problem("file", "geojson_other_kind"))


def _found(number: int, feature: Any) -> Found:
    if not isinstance(feature, dict) or feature.get("type") != "Feature":
        return Found(number, None, problems=(Problem("type", "geojson_no_feature"),))
    words = feature.get("properties")
    words = words if isinstance(words, dict) else {}
    name, kind = _word(words.get("name")), _word(words.get("kind"))
    geometry = feature.get("geometry")
    if not isinstance(geometry, dict):
        problem = Problem("geometry", "geojson_no_geometry")
        return Found(number, None, name, kind, problems=(problem,))
    return Found(number, geometry, name, kind)


def _word(value: Any) -> str:
    return " ".join(str(value).split()) if isinstance(value, str | int | float) else ""
