"""The outside of a GPX file (1.1, and 1.0, which has the same ways), read with its lines.

Read with defusedxml's SAX reader, which refuses entities and document types, and which knows the
line of each element: gpxpy, with which we write, tells no lines and drops what it cannot read.
"""

from collections.abc import Callable
from typing import Any, TypeVar
from xml.sax import SAXException, SAXParseException
from xml.sax.handler import ContentHandler, feature_namespaces

from defusedxml import DefusedXmlException
from defusedxml.expatreader import create_parser

from trapline.ground.errors import Problem, Refused

NAMESPACES = ("http://www.topografix.com/GPX/1/1", "http://www.topografix.com/GPX/1/0")


class GpxHandler(ContentHandler):
    """Keeps the path of elements from `gpx` down; one of another namespace is an empty name."""

    def __init__(self, line_now: Callable[[], int]) -> None:
        super().__init__()
        self.line_now = line_now
        self.path: list[str] = []

    def startElementNS(self, name: Any, qname: Any, attrs: Any) -> None:  # noqa: N802
        namespace, local = name
        if not self.path and (local != "gpx" or namespace not in NAMESPACES):
            raise Refused(Problem("file", "gpx_other_kind", {"line": self.line_now()}))
        self.path.append(local if namespace in NAMESPACES else "")
        self.begun(attrs)

    def endElementNS(self, name: Any, qname: Any) -> None:  # noqa: N802
        self.ended()
        self.path.pop()

    def begun(self, attrs: Any) -> None:
        """An element has begun; `path` ends with it."""

    def ended(self) -> None:
        """An element ends; `path` still ends with it."""


H = TypeVar("H", bound=GpxHandler)


def read_gpx(raw: bytes, handler_of: Callable[[Callable[[], int]], H]) -> H:
    """Read the file whole. Raises Refused, with the line, when it is no GPX or is broken."""
    parser = create_parser(forbid_dtd=True)
    handler = handler_of(parser.getLineNumber)
    parser.setFeature(feature_namespaces, True)
    parser.setContentHandler(handler)
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
    return handler
