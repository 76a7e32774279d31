"""Sets as points and lines' paths as line strings: GeoJSON (RFC 7946)."""

import json
from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from trapline.lines.formats.placed import PathOut, SetOut


def write(sets: Iterable[SetOut], paths: Iterable[PathOut] = ()) -> bytes:
    """The file's bytes, UTF-8."""
    features = [_set(one) for one in sets] + [_path(one) for one in paths]
    whole = {"type": "FeatureCollection", "features": features}
    return json.dumps(whole, ensure_ascii=False, separators=(",", ":")).encode()


def _set(one: SetOut) -> dict[str, Any]:
    told = asdict(one)
    for name in ("id", "lon", "lat"):
        del told[name]
    for name in ("placed_at", "due_at"):
        told[name] = told[name] and told[name].isoformat()
    return {
        "type": "Feature",
        "id": one.id,
        "geometry": {"type": "Point", "coordinates": [one.lon, one.lat]},
        "properties": {"what": "set", **told},
    }


def _path(one: PathOut) -> dict[str, Any]:
    places = [list(place) for place in one.places]
    return {
        "type": "Feature",
        "id": one.id,
        "geometry": {"type": "LineString", "coordinates": places},
        "properties": {"what": "line", "name": one.name},
    }
