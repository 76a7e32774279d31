"""What stands behind every ribbon: day and night at a place, and the hours of its clock.

Drawn as SVG whose places are per cent of its width, so that it needs no script and no style of
its own. It is the same for everybody who looks in the same minute, so it is drawn once.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from django.utils.formats import date_format
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import get_language

from trapline.calc import daylight

TICK_HOURS = 6


@dataclass(frozen=True)
class Shape:
    """Where the parts of a backdrop stand, px from its top."""

    light_to: str  # the tint of day and night; a length or 100%
    strip_to: int  # the strip that says day or night at full strength
    tick_from: int
    tick_to: str
    hour_at: int
    date_at: int
    date_beside: int  # px from its tick, when a date stands to the right of it


RIBBON = Shape("100%", 10, 46, "100%", 42, 25, 4)
STRIP = Shape("22", 7, 7, "26", 37, 37, 0)


@dataclass(frozen=True)
class Backdrop:
    """The drawing, and the stretches of daylight in it for the words below."""

    drawing: SafeString
    days: tuple[tuple[datetime, datetime], ...]


def minute_of(moment: datetime) -> datetime:
    """The minute a moment lies in: a ribbon begins with it."""
    return moment.replace(second=0, microsecond=0)


def backdrop(
    start: datetime, hours: int, place: tuple[float, float], tz: str, shape: Shape
) -> Backdrop:
    """Day, twilight and night from `start` at a place (lat, lon), with the hours of a zone.

    The place is taken to about a kilometre: it need not be exact.
    """
    lat, lon = round(place[0], 2), round(place[1], 2)
    return _drawn(minute_of(start), hours, lat, lon, tz, shape, get_language())


def per_cent(at: datetime, start: datetime, hours: int) -> str:
    """How far along a ribbon of so many hours a moment lies."""
    return f"{(at - start) / timedelta(hours=hours) * 100:.3f}%"


@lru_cache(maxsize=512)
def _drawn(
    start: datetime, hours: int, lat: float, lon: float, tz: str, shape: Shape, language: str | None
) -> Backdrop:
    parts = daylight.ribbon(start, hours, lat, lon)
    light = [_light(part, start, hours, shape) for part in parts]
    edges = format_html(
        '<line x1="0" x2="100%" y1=".5" y2=".5" class="strip-edge"/>'
        '<line x1="0" x2="100%" y1="{0}" y2="{0}" class="strip-edge"/>',
        shape.strip_to,
    )
    hours_drawn = [_tick(at, label, start, hours, shape) for at, label in ticks(start, hours, tz)]
    drawing = format_html_join("", "{}", ((one,) for one in (*light, edges, *hours_drawn)))
    return Backdrop(drawing, tuple((p.start, p.end) for p in parts if p.light == "day"))


def _light(part: daylight.Segment, start: datetime, hours: int, shape: Shape) -> SafeString:
    x = per_cent(part.start, start, hours)
    width = per_cent(start + (part.end - part.start), start, hours)
    drawn = format_html(
        '<rect x="{0}" width="{1}" height="{2}" class="light-{3}"/>'
        '<rect x="{0}" width="{1}" height="{4}" class="strip-{3}"/>',
        x, width, shape.light_to, part.light, shape.strip_to,
    )  # fmt: skip
    if part.light != "twilight":
        return drawn
    hatch = '<rect x="{}" width="{}" height="{}" fill="url(#hatch)"/>'
    return drawn + format_html(hatch, x, width, shape.strip_to)


def ticks(start: datetime, hours: int, tz: str) -> list[tuple[datetime, str]]:
    """The sixth hours of the zone's own clock, also across a change of it; midnight as a date."""
    zone, quarter = ZoneInfo(tz), 15 * 60
    at = datetime.fromtimestamp((start.timestamp() // quarter + 1) * quarter, start.tzinfo)
    found = []
    while at < start + timedelta(hours=hours):
        local = at.astimezone(zone)
        if local.minute == 0 and local.hour % TICK_HOURS == 0:
            day = date_format(local.date(), "D j")
            found.append((at, f"{local:%H}" if local.hour else day))
        at += timedelta(seconds=quarter)
    return found


def _tick(at: datetime, label: str, start: datetime, hours: int, shape: Shape) -> SafeString:
    midnight = not label.isdigit()
    return format_html(
        '<line x1="{0}" x2="{0}" y1="{1}" y2="{2}" class="{3}"/><svg x="{0}" overflow="visible">'
        '<text x="{4}" y="{5}" class="{6}">{7}</text></svg>',
        per_cent(at, start, hours),
        shape.strip_to if midnight else shape.tick_from,
        shape.tick_to,
        "tick-day" if midnight else "tick",
        shape.date_beside if midnight else 0,
        shape.date_at if midnight else shape.hour_at,
        "tick-date" if midnight else "tick-hour",
        label,
    )
