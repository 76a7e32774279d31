"""A small drawing of a file's rows: where each would stand, beside the line's path.

North is up; a degree of longitude is as long as it is at the middle of the drawing. Swapped or
mistyped degrees show at once: the point stands far from the rest.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

WIDTH, HEIGHT, MARGIN = 640.0, 320.0, 22.0
LEAST_DEGREES = 0.004  # across, so that a single set does not fill the drawing
METRES_A_DEGREE = 111_195.0  # of latitude, on a sphere of 6,371 km
MOST_NUMBERS = 60


@dataclass(frozen=True)
class Spot:
    """A row's place in degrees, WGS 84; good: it can be placed."""

    line_no: int
    lon: float
    lat: float
    good: bool


@dataclass(frozen=True)
class Drawing:
    """The drawing's inside, as SVG of WIDTH by HEIGHT, and how many metres it is across."""

    inside: SafeString
    across_m: float


@dataclass(frozen=True)
class _Sheet:
    """Degrees to the drawing's units."""

    west: float
    north: float
    squeeze: float
    scale: float

    def at(self, lon: float, lat: float) -> tuple[str, str]:
        x = (_after(lon, self.west) - self.west) * self.squeeze * self.scale
        return f"{x + MARGIN:.1f}", f"{(self.north - lat) * self.scale + MARGIN:.1f}"


def _after(lon: float, west: float) -> float:
    """The longitude at or east of `west`: a line over the antimeridian stays in one piece."""
    return lon if lon >= west else lon + 360


def drawn(spots: Sequence[Spot], path: Sequence[tuple[float, float]]) -> Drawing | None:
    """The rows and the path ((lon, lat) in degrees) on one sheet; None when there is no row."""
    if not spots:
        return None
    sheet = _fitted([(one.lon, one.lat) for one in spots] + list(path))
    line = " ".join(",".join(sheet.at(lon, lat)) for lon, lat in path)
    marks = [_mark(one, sheet, numbered=len(spots) <= MOST_NUMBERS) for one in spots]
    inside = format_html(
        '<polyline points="{}" class="map-path"/>{}',
        line,
        format_html_join("", "{}", ((one,) for one in marks)),
    )
    return Drawing(inside, WIDTH / sheet.scale * METRES_A_DEGREE)


def _fitted(places: list[tuple[float, float]]) -> _Sheet:
    lons, lats = [lon for lon, _ in places], [lat for _, lat in places]
    if max(lons) - min(lons) > 180:
        lons = [lon if lon >= 0 else lon + 360 for lon in lons]
    squeeze = max(cos(radians((max(lats) + min(lats)) / 2)), 0.01)
    wide = max((max(lons) - min(lons)) * squeeze, LEAST_DEGREES)
    high = max(max(lats) - min(lats), LEAST_DEGREES)
    scale = min((WIDTH - 2 * MARGIN) / wide, (HEIGHT - 2 * MARGIN) / high)
    # What does not fill the sheet stands in its middle.
    across, along = (WIDTH - 2 * MARGIN) / scale, (HEIGHT - 2 * MARGIN) / scale
    west = (max(lons) + min(lons) - across / squeeze) / 2
    return _Sheet(west, (max(lats) + min(lats) + along) / 2, squeeze, scale)


def _mark(one: Spot, sheet: _Sheet, *, numbered: bool) -> SafeString:
    x, y = sheet.at(one.lon, one.lat)
    shape, kind = ("M-5 0a5 5 0 1 0 10 0a5 5 0 1 0-10 0", "good")
    if not one.good:
        shape, kind = ("M-5-5 5 5M-5 5 5-5", "refused")
    number = format_html('<text x="8" y="4" class="spot-number">{}</text>', one.line_no)
    return format_html(
        '<g transform="translate({} {})"><path d="{}" class="spot-{}"/>{}</g>',
        x, y, shape, kind, number if numbered else "",
    )  # fmt: skip
