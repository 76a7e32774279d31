"""Waypoints of a GPX file as drafts of sets."""

from collections.abc import Callable
from typing import Any

from trapline.ground.errors import Problem, Refused
from trapline.ground.files import bounded
from trapline.ground.gpx import GpxHandler, read_gpx
from trapline.lines.formats.draft import MOST_ROWS, Row, drafted


def read(raw: bytes) -> list[Row]:
    """Every waypoint with its line, in the file's order. Tracks and routes are passed over.

    Raises Refused, with the line, when the file is no GPX, is broken, or is too large: then nothing
    of it is taken. A waypoint that says something wrong is a row with problems.
    """
    bounded(raw)
    waypoints = read_gpx(raw, _Waypoints)
    if not waypoints.rows:
        raise Refused(Problem("file", "gpx_no_waypoints"))
    return waypoints.rows


class _Waypoints(GpxHandler):
    """Gathers the waypoints' texts with the lines at which they begin."""

    def __init__(self, line_now: Callable[[], int]) -> None:
        super().__init__(line_now)
        self.rows: list[Row] = []
        self._line = 0
        self._place: tuple[str, str] = ("", "")
        self._texts: dict[str, str] = {}

    def begun(self, attrs: Any) -> None:
        if self.path == ["gpx", "wpt"]:
            if len(self.rows) == MOST_ROWS:
                values = {"line": self.line_now(), "most": MOST_ROWS}
                raise Refused(Problem("file", "file_too_many_rows", values))
            self._line = self.line_now()
            self._place = (attrs.get((None, "lat"), ""), attrs.get((None, "lon"), ""))
            self._texts = {}

    def characters(self, content: str) -> None:
        if len(self.path) == 3 and self.path[:2] == ["gpx", "wpt"]:
            self._texts[self.path[2]] = self._texts.get(self.path[2], "") + content

    def ended(self) -> None:
        if self.path == ["gpx", "wpt"]:
            lat, lon = self._place
            label, at = self._texts.get("name", ""), self._texts.get("time", "")
            self.rows.append(drafted(self._line, label=label, lat=lat, lon=lon, at=at))
