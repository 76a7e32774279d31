"""Places as acts bring them: [longitude, latitude] in degrees, WGS 84 (RFC 7946 order)."""

from typing import Annotated

from django.contrib.gis.geos import LineString, Point
from pydantic import AfterValidator, Field


def _on_earth(value: tuple[float, float]) -> tuple[float, float]:
    if not (-180 <= value[0] <= 180 and -90 <= value[1] <= 90):
        raise ValueError("longitude lies in -180 to 180, latitude in -90 to 90; longitude is first")
    return value


LonLat = Annotated[tuple[float, float], AfterValidator(_on_earth)]
Metres = Annotated[float, Field(ge=0, le=20_000)]


def point(value: LonLat | None) -> Point | None:
    """A point for a geography column."""
    return None if value is None else Point(value[0], value[1], srid=4326)


def path(value: list[LonLat]) -> LineString:
    """A path for a geography column; at least two places."""
    return LineString(*value, srid=4326)
