"""The sun at a place: its four daily events, and day and night as a ribbon.

Sunrise and sunset are the moments at which the sun's centre stands 0.8333 degrees
below the horizon (34' of refraction and 16' of radius, the convention of the almanac
offices); dawn and dusk are civil, 6 degrees below, without refraction. The ground is
taken as flat and at the sea's level: a hill in the way is not known here.

The sun's declination and the equation of time are astral's. astral's own event
functions wrap around 0 h UTC (a sunrise may come back for the wrong day) and stop after
two rounds, so the few lines that iterate on its figures are ours. Measured against
ephem, another ephemeris, below 60 degrees of latitude: within 8 s from 1990 to 2060
(tests/calc/test_daylight.py). `TOLERANCE_US` is the 60 s by which every legal moment is
moved to the strict side. Where the sun only grazes the horizon, within some days of
polar day or night, any method is less sure than that.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from functools import lru_cache
from itertools import pairwise
from typing import Literal, get_args

from astral import Observer, SunDirection
from astral.julian import julianday_to_juliancentury
from astral.sun import elevation, eq_of_time, hour_angle, sun_declination

from trapline.calc.clock import DAY_US, EPOCH, SECOND_US, to_datetime, to_us

SunEvent = Literal["dawn", "sunrise", "sunset", "dusk"]
SUN_EVENTS: tuple[SunEvent, ...] = get_args(SunEvent)
Light = Literal["day", "twilight", "night"]

TOLERANCE_US = 60 * SECOND_US
HORIZON_ZENITH = 90.8333
CIVIL_ZENITH = 96.0

_ZENITH = {
    "dawn": CIVIL_ZENITH,
    "sunrise": HORIZON_ZENITH,
    "sunset": HORIZON_ZENITH,
    "dusk": CIVIL_ZENITH,
}
_JULIAN_EPOCH = 2_440_587.5  # the Julian day of 1970-01-01T00:00Z
_POLE_DEG = 89.8  # nearer to a pole an hour angle means nothing
_EPOCH_DATE = date(1970, 1, 1)


def check_place(lat: float, lon: float) -> None:
    """ValueError that names the field unless -90 <= lat <= 90 and -180 <= lon <= 180."""
    if not -90.0 <= lat <= 90.0:
        raise ValueError("lat: degrees from -90 to 90 are needed")
    if not -180.0 <= lon <= 180.0:
        raise ValueError("lon: degrees from -180 to 180 are needed")


def mean_noon_us(solar_day: int, lon: float) -> int:
    """Mean solar noon of a solar day (in days since 1970-01-01) at a longitude."""
    return solar_day * DAY_US + DAY_US // 2 - round(lon * 240 * SECOND_US)


@lru_cache(maxsize=131_072)
def event_us(event: SunEvent, solar_day: int, lat: float, lon: float) -> int | None:
    """The instant of a sun event, or None where it does not happen that day.

    A solar day runs from one solar midnight to the next and is named by the local mean
    date of its noon, so that a sunset after midnight by the clock is still the evening
    of the day before. Degrees north and east; microseconds since the epoch.
    """
    lat = max(-_POLE_DEG, min(_POLE_DEG, lat))
    direction = SunDirection.RISING if event in ("dawn", "sunrise") else SunDirection.SETTING
    at_day = solar_day + 0.5 - lon / 360.0
    for _ in range(12):
        century = julianday_to_juliancentury(_JULIAN_EPOCH + at_day)
        try:
            angle = hour_angle(lat, sun_declination(century), _ZENITH[event], direction)
        except ValueError:
            return None  # the arc cosine of more than one: the sun does not get there
        minutes = 720.0 - 4.0 * (lon + math.degrees(angle)) - eq_of_time(century)
        before, at_day = at_day, solar_day + minutes / 1440.0
        if abs(at_day - before) < 1e-6:  # a tenth of a second
            break
    return round(at_day * DAY_US)


@dataclass(frozen=True)
class SunTimes:
    """Events of one day in UTC; None where one does not happen.

    `kind` says why: at noon of a `polar_day` the sun is up, of a `polar_night` down.
    Either may lack one event only, on the day that it begins or ends.
    """

    dawn: datetime | None
    sunrise: datetime | None
    sunset: datetime | None
    dusk: datetime | None
    kind: Literal["rises_and_sets", "polar_day", "polar_night"]


def solar_day_of(day: date, lon: float, zone: tzinfo | None) -> int | None:
    """The solar day whose mean noon falls on a local date; None where no noon does.

    Without a zone the date is the longitude's own mean date. Where a zone had the same
    date twice, the first. A skipped date has no noon.
    """
    number = (day - _EPOCH_DATE).days
    if zone is None:
        return number
    for candidate in (number - 1, number, number + 1):
        if to_datetime(mean_noon_us(candidate, lon)).astimezone(zone).date() == day:
            return candidate
    return None


def sun_times(day: date, lat: float, lon: float, zone: tzinfo | None = None) -> SunTimes:
    """The sun's events of a local date at a place.

    `zone` is the zone whose date is meant; without it, the longitude's mean date.
    ValueError for a place off the globe or a date that the zone skipped.
    """
    check_place(lat, lon)
    solar_day = solar_day_of(day, lon, zone)
    if solar_day is None:
        raise ValueError("day: this zone skipped that date")
    found = {event: event_us(event, solar_day, lat, lon) for event in SUN_EVENTS}
    instants = {k: None if us is None else to_datetime(us) for k, us in found.items()}
    kind: Literal["rises_and_sets", "polar_day", "polar_night"] = "rises_and_sets"
    if found["sunrise"] is None or found["sunset"] is None:
        noon = to_datetime(mean_noon_us(solar_day, lon))
        kind = "polar_day" if light_at(noon, lat, lon) == "day" else "polar_night"
    return SunTimes(**instants, kind=kind)


def light_at(at: datetime, lat: float, lon: float) -> Light:
    """Day, (civil) twilight or night at an instant."""
    height = elevation(Observer(lat, lon, 0.0), at.astimezone(UTC), with_refraction=False)
    if height >= 90.0 - HORIZON_ZENITH:
        return "day"
    return "twilight" if height >= 90.0 - CIVIL_ZENITH else "night"


@dataclass(frozen=True)
class Segment:
    """A stretch of the ribbon, from `start` up to `end` (UTC), of one light."""

    start: datetime
    end: datetime
    light: Light


def ribbon(start: datetime, hours: float, lat: float, lon: float) -> list[Segment]:
    """Day, twilight and night from `start` for some hours, without gap or overlap.

    Neighbours differ in light. ValueError for a naive start or no hours.
    """
    check_place(lat, lon)
    if not 0 < hours <= 24 * 366:
        raise ValueError("hours: more than 0 and at most a year are needed")
    begin = to_datetime(to_us(start))
    end = begin + timedelta(hours=hours)
    first, last = (begin - EPOCH).days - 2, (end - EPOCH).days + 2
    events = (
        event_us(event, day, lat, lon) for day in range(first, last + 1) for event in SUN_EVENTS
    )
    cuts = sorted({to_datetime(us) for us in events if us is not None})
    edges = [begin, *(cut for cut in cuts if begin < cut < end), end]
    segments: list[Segment] = []
    for left, right in pairwise(edges):
        light = light_at(left + (right - left) / 2, lat, lon)
        if segments and segments[-1].light == light:
            segments[-1] = Segment(segments[-1].start, right, light)
        else:
            segments.append(Segment(left, right, light))
    return segments
