"""Sets and lines as they are written to a file."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class SetOut:
    """A set as it stands. lon, lat: degrees, WGS 84. Texts are for people, already in words."""

    id: str
    label: str
    line: str
    lon: float
    lat: float
    placed_at: datetime
    placement: str
    device: str
    responsible: str
    due_at: datetime | None


@dataclass(frozen=True)
class PathOut:
    """A line's path: (lon, lat) in degrees, WGS 84."""

    id: str
    name: str
    places: tuple[tuple[float, float], ...]
