"""Draw a line, or change the one that has this id: its name, path, travel, zone of time, status."""

from typing import Literal
from uuid import UUID
from zoneinfo import available_timezones

from pydantic import Field, field_validator

from trapline.ground.errors import NeedsReview
from trapline.lines.models import Line
from trapline.lines.words import LineStatus, Travel
from trapline.record.acting import Body, Desk, Kind
from trapline.record.geo import LonLat, path


class Path(Body):
    """A GeoJSON LineString."""

    type: Literal["LineString"]
    coordinates: list[LonLat] = Field(min_length=2, max_length=20_000)


class DrawLine(Body):
    line: UUID
    name: str = Field(min_length=1, max_length=120)
    tz: str
    travel: Travel
    status: LineStatus = LineStatus.OPEN
    path: Path | None = None

    @field_validator("tz")
    @classmethod
    def known_zone(cls, value: str) -> str:
        if value not in available_timezones():
            raise ValueError(f"{value} is no zone of the tz database")
        return value


def apply(desk: Desk, body: DrawLine) -> None:
    if not desk.actor.leads:
        raise NeedsReview("line", "only_leaders", what="draw_line")
    if Line.objects.filter(name=body.name).exclude(id=body.line).exists():
        raise NeedsReview("name", "name_taken", name=body.name)
    Line.objects.update_or_create(
        id=body.line,
        defaults={
            "team_id": desk.team,
            "name": body.name,
            "tz": body.tz,
            "travel": body.travel,
            "status": body.status,
            "path": path(body.path.coordinates) if body.path else None,
        },
    )


KIND = Kind("draw_line", {1: DrawLine}, apply)
