"""Shapes as acts bring them: GeoJSON geometries (RFC 7946), longitude first, WGS 84."""

from typing import Annotated, Any, Literal

from django.contrib.gis.geos import MultiLineString
from django.contrib.gis.geos import Point as GeosPoint
from pydantic import AfterValidator, Field

from trapline.ground.errors import Refused
from trapline.record.acting import Body
from trapline.record.draw_line import Path
from trapline.record.geo import LonLat, path
from trapline.rulebook import outline, parts


class Point(Body):
    """A GeoJSON Point."""

    type: Literal["Point"]
    coordinates: LonLat


class Paths(Body):
    """A GeoJSON MultiLineString: one way in several parts."""

    type: Literal["MultiLineString"]
    coordinates: list[Annotated[list[LonLat], Field(min_length=2, max_length=20_000)]] = Field(
        min_length=1, max_length=1000
    )


Shaped = Point | Path | Paths | parts.Polygon | parts.MultiPolygon
Shape = Annotated[Shaped, Field(discriminator="type")]


def on_the_globe(field: str) -> Any:
    """A validator: the outline is one, or Refused with the place that is wrong."""

    def look(value: Any) -> Any:
        if isinstance(value, parts.Polygon | parts.MultiPolygon) and (
            found := list(outline.problems_in(value, f"body.{field}"))
        ):
            raise Refused(*found)
        return value

    return AfterValidator(look)


def geometry(shape: Shaped) -> Any:
    """The shape for a geography column."""
    if isinstance(shape, Point):
        return GeosPoint(*shape.coordinates, srid=4326)
    if isinstance(shape, Path):
        return path(shape.coordinates)
    if isinstance(shape, Paths):
        return MultiLineString([path(part) for part in shape.coordinates], srid=4326)
    return outline.geometry(shape)
