"""Tracks, routes and waypoints of a GPX file as features: a way is a path, a waypoint a point."""

from collections.abc import Callable
from typing import Any

from trapline.ground.errors import Problem, Refused
from trapline.ground.files import bounded
from trapline.ground.gpx import GpxHandler, read_gpx
from trapline.land.formats.found import MOST_FEATURES, Found

ENDS = {("gpx", "wpt"), ("gpx", "rte"), ("gpx", "trk")}


def read(raw: bytes) -> list[Found]:
    """Every way and waypoint with its line. Raises Refused, with the line, for a broken file."""
    bounded(raw)
    found = read_gpx(raw, _Ways).found
    if not found:
        raise Refused(Problem("file", "gpx_no_ways"))
    return found


class _Ways(GpxHandler):
    """Gathers each way's places. A track of several segments is a path of several parts."""

    def __init__(self, line_now: Callable[[], int]) -> None:
        super().__init__(line_now)
        self.found: list[Found] = []
        self._line = 0
        self._texts: dict[str, str] = {}
        self._parts: list[list[list[float]]] = []
        self._problems: list[Problem] = []

    def begun(self, attrs: Any) -> None:
        path = tuple(self.path)
        if path in ENDS:
            if len(self.found) == MOST_FEATURES:
                values = {"line": self.line_now(), "most": MOST_FEATURES}
                raise Refused(Problem("file", "file_too_many_features", values))
            self._line, self._texts, self._parts, self._problems = self.line_now(), {}, [[]], []
        if path == ("gpx", "trk", "trkseg") and self._parts[-1]:
            self._parts.append([])
        if path in {("gpx", "wpt"), ("gpx", "rte", "rtept"), ("gpx", "trk", "trkseg", "trkpt")}:
            self._place(attrs)

    def _place(self, attrs: Any) -> None:
        lat, lon = attrs.get((None, "lat"), ""), attrs.get((None, "lon"), "")
        try:
            self._parts[-1].append([float(lon), float(lat)])
        except ValueError:
            text = f"{lat}, {lon}"[:40]
            self._problems.append(Problem("place", "row_degrees", {"text": text, "most": 180}))

    def characters(self, content: str) -> None:
        if len(self.path) == 3 and self.path[2] in ("name", "type"):
            self._texts[self.path[2]] = self._texts.get(self.path[2], "") + content

    def ended(self) -> None:
        if tuple(self.path) not in ENDS:
            return
        name = " ".join(self._texts.get("name", "").split())
        kind = self._texts.get("type", "").strip().lower()
        number = len(self.found) + 1
        problems = tuple(self._problems[:5])
        geometry = None if problems else _geometry(self.path[1], self._parts)
        self.found.append(Found(number, geometry, name, kind, self._line, problems))


def _geometry(what: str, parts: list[list[list[float]]]) -> dict[str, Any]:
    if what == "wpt":
        return {"type": "Point", "coordinates": parts[0][0]}
    drawn = [part for part in parts if part]
    if len(drawn) > 1:
        return {"type": "MultiLineString", "coordinates": drawn}
    return {"type": "LineString", "coordinates": drawn[0] if drawn else []}
