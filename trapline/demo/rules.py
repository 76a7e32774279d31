"""The demo's invented rulebook, made whole with the outlines of the demo's terrain."""

from collections.abc import Mapping
from datetime import datetime
from importlib.resources import files
from typing import Any

from trapline.rulebook.reading import read_file
from trapline.rulebook.schema import Document, read_document


def demo_rulebook(areas: Mapping[str, Any], in_force_from: datetime) -> Document:
    """The rulebook of rulebook.yaml. `areas`: a GeoJSON Polygon or MultiPolygon by zone code.

    KeyError for a zone of the file that has no area.
    """
    data, _lines = read_file(files("trapline.demo").joinpath("rulebook.yaml").read_bytes())
    zones = [{**zone, "area": areas[zone["code"]]} for zone in data["zones"]]
    return read_document({**data, "zones": zones, "in_force_from": in_force_from})
