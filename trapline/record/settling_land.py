"""Settling in: leave to be on land, and what on the land a set must keep away from.

Permissions and features are configuration, not facts: an act with the id of one that is there
changes it, and the book of acts keeps what each act said. Shapes are GeoJSON (RFC 7946).
"""

from datetime import date
from typing import Annotated, Any, Literal
from uuid import UUID

from django.contrib.gis.geos import Point as GeosPoint
from pydantic import AfterValidator, Field, StringConstraints

from trapline.ground.errors import Held, NeedsReview, Refused
from trapline.land.models import Feature, FeatureKind, Permission
from trapline.people.models import Membership
from trapline.record.acting import Body, Desk, Kind
from trapline.record.draw_line import Path
from trapline.record.geo import LonLat, path
from trapline.rulebook import outline, parts

Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200)]
Short = Annotated[str, StringConstraints(strip_whitespace=True, max_length=200)]
Long = Annotated[str, StringConstraints(strip_whitespace=True, max_length=8000)]


def _on_the_globe(field: str) -> Any:
    """A validator: the outline is one, or Refused with the place that is wrong."""

    def look(value: Any) -> Any:
        if isinstance(value, parts.Polygon | parts.MultiPolygon) and (
            found := list(outline.problems_in(value, f"body.{field}"))
        ):
            raise Refused(*found)
        return value

    return AfterValidator(look)


class Point(Body):
    """A GeoJSON Point."""

    type: Literal["Point"]
    coordinates: LonLat


Shape = Annotated[Point | Path | parts.Polygon | parts.MultiPolygon, Field(discriminator="type")]


class KeepPermission(Body):
    """A holder's leave to trap on a parcel, from a day to a day, both included."""

    permission: UUID
    parcel: Annotated[parts.Area, _on_the_globe("parcel")]
    name: Name
    holder: Name
    contact: Short = ""
    valid_from: date
    valid_until: date
    conditions: Long = ""
    reference: Short = ""
    members: list[UUID] = Field(default_factory=list, max_length=500)  # none: the whole team


def keep_permission(desk: Desk, body: KeepPermission) -> None:
    if not desk.actor.manages:
        raise NeedsReview("permission", "only_managers", what="keep_permission")
    if body.valid_until < body.valid_from:
        raise NeedsReview("valid_until", "dates_out_of_order")
    known = set(Membership.objects.filter(id__in=body.members).values_list("id", flat=True))
    for number, member in enumerate(body.members):
        if member not in known:
            raise Held(f"members.{number}", member)
    Permission.objects.update_or_create(
        id=body.permission,
        defaults={
            "team_id": desk.team,
            "parcel": outline.geometry(body.parcel),
            **body.model_dump(exclude={"permission", "parcel"}),
        },
    )


class DrawFeature(Body):
    """A trail, a road, a dwelling, water or a boundary, as a point, a path or an area."""

    feature: UUID
    kind: FeatureKind
    name: Short = ""
    shape: Annotated[Shape, _on_the_globe("shape")]
    source: Short = ""


def draw_feature(desk: Desk, body: DrawFeature) -> None:
    if not desk.actor.leads:
        raise NeedsReview("feature", "only_leaders", what="draw_feature")
    Feature.objects.update_or_create(
        id=body.feature,
        defaults={
            "team_id": desk.team,
            "shape": _geometry(body.shape),
            **body.model_dump(exclude={"feature", "shape"}),
        },
    )


def _geometry(shape: Point | Path | parts.Polygon | parts.MultiPolygon) -> Any:
    if isinstance(shape, Point):
        return GeosPoint(*shape.coordinates, srid=4326)
    if isinstance(shape, Path):
        return path(shape.coordinates)
    return outline.geometry(shape)


KINDS = (
    Kind("keep_permission", {1: KeepPermission}, keep_permission),
    Kind("draw_feature", {1: DrawFeature}, draw_feature),
)
