"""Waypoints of a GPX file (1.1, and 1.0, which has the same waypoints) as drafts of sets.

Read with defusedxml's SAX reader, which refuses entities and document types, and which knows the
line of each waypoint: gpxpy, with which we write, tells no lines and drops a time it cannot read.
"""

from collections.abc import Callable
from typing import Any
from xml.sax import SAXException, SAXParseException
from xml.sax.handler import ContentHandler, feature_namespaces

from defusedxml import DefusedXmlException
from defusedxml.expatreader import create_parser

from trapline.ground.errors import Problem, Refused
from trapline.lines.formats.draft import MOST_ROWS, Row, bounded, drafted

NAMESPACES = ("http://www.topografix.com/GPX/1/1", "http://www.topografix.com/GPX/1/0")


def read(raw: bytes) -> list[Row]:
    """Every waypoint with its line, in the file's order. Tracks and routes are passed over.

    Raises Refused, with the line, when the file is no GPX, is broken, or is too large: then nothing
    of it is taken. A waypoint that says something wrong is a row with problems.
    """
    bounded(raw)
    parser = create_parser(forbid_dtd=True)
    waypoints = _Waypoints(parser.getLineNumber)
    parser.setFeature(feature_namespaces, True)
    parser.setContentHandler(waypoints)
    try:
        parser.feed(raw)
        parser.close()
    except DefusedXmlException:
        values: dict[str, Any] = {"line": parser.getLineNumber()}
        raise Refused(Problem("file", "gpx_entities", values)) from None
    except SAXParseException as error:
        values = {"line": error.getLineNumber(), "said": error.getMessage()}
        raise Refused(Problem("file", "gpx_broken", values)) from None
    except (SAXException, LookupError, ValueError) as error:  # an encoding that there is not
        values = {"line": parser.getLineNumber(), "said": str(error)}
        raise Refused(Problem("file", "gpx_broken", values)) from None
    if not waypoints.rows:
        raise Refused(Problem("file", "gpx_no_waypoints"))
    return waypoints.rows


class _Waypoints(ContentHandler):
    """Gathers the waypoints' texts with the lines at which they begin."""

    def __init__(self, line_now: Callable[[], int]) -> None:
        super().__init__()
        self.rows: list[Row] = []
        self._line_now = line_now
        self._path: list[str] = []
        self._line = 0
        self._place: tuple[str, str] = ("", "")
        self._texts: dict[str, str] = {}

    def startElementNS(self, name: Any, qname: Any, attrs: Any) -> None:  # noqa: N802
        namespace, local = name
        if not self._path and (local != "gpx" or namespace not in NAMESPACES):
            values = {"line": self._line_now()}
            raise Refused(Problem("file", "gpx_other_kind", values))
        self._path.append(local if namespace in NAMESPACES else "")
        if self._path == ["gpx", "wpt"]:
            if len(self.rows) == MOST_ROWS:
                values = {"line": self._line_now(), "most": MOST_ROWS}
                raise Refused(Problem("file", "file_too_many_rows", values))
            self._line = self._line_now()
            self._place = (attrs.get((None, "lat"), ""), attrs.get((None, "lon"), ""))
            self._texts = {}

    def characters(self, content: str) -> None:
        if len(self._path) == 3 and self._path[:2] == ["gpx", "wpt"]:
            self._texts[self._path[2]] = self._texts.get(self._path[2], "") + content

    def endElementNS(self, name: Any, qname: Any) -> None:  # noqa: N802
        if self._path == ["gpx", "wpt"]:
            lat, lon = self._place
            label, at = self._texts.get("name", ""), self._texts.get("time", "")
            self.rows.append(drafted(self._line, label=label, lat=lat, lon=lon, at=at))
        self._path.pop()
