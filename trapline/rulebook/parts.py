"""The small values a rulebook is written with: codes, words, days, times of day, outlines."""

import re
from datetime import UTC, datetime
from typing import Annotated, Literal

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Discriminator,
    Field,
    Strict,
    StringConstraints,
    Tag,
)
from pydantic_core import PydanticCustomError

from trapline.calc.daylight import SunEvent


class Part(BaseModel):
    """A value of a rulebook: nothing in it that the format does not name, and it never changes."""

    model_config = ConfigDict(extra="forbid", frozen=True)


CLOCK = r"^([01][0-9]|2[0-3]):[0-5][0-9]$"
DAY = r"^(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"
DATE = r"^[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"
_CODE = r"^[A-Za-z0-9][A-Za-z0-9_-]*$"
# One line; and several. No control characters, which neither page nor database shows, and no
# line separators but the plain one, which YAML readers do not agree on.
_UNSHOWN = r"\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff"
_LINE = rf"^[^\t\n{_UNSHOWN}]*\S[^\t\n{_UNSHOWN}]*$"
_WORDS = rf"^[^{_UNSHOWN}]*$"


def _plain_breaks(value: object) -> object:
    """Line breaks as a browser's form sends them, made the plain ones."""
    return value.replace("\r\n", "\n") if isinstance(value, str) else value


Code = Annotated[str, StringConstraints(pattern=_CODE, max_length=50)]
RuleCode = Annotated[str, StringConstraints(pattern=_CODE, max_length=80)]
Line = Annotated[str, StringConstraints(pattern=_LINE, max_length=200)]
Words = Annotated[
    str, StringConstraints(pattern=_WORDS, max_length=8000), BeforeValidator(_plain_breaks)
]
Clock = Annotated[str, StringConstraints(pattern=CLOCK)]
Number = Annotated[float, Strict(), Field(allow_inf_nan=False)]
Whole = Annotated[int, Strict()]

_DAYS_IN = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def _real_day(value: object) -> object:
    """Refuse 02-30 and 04-31, which the pattern lets through."""
    if isinstance(value, str) and len(value) == 5 and value[:2].isdigit() and value[3:].isdigit():
        month, day = int(value[:2]), int(value[3:])
        if 1 <= month <= 12 and day > _DAYS_IN[month - 1]:
            raise PydanticCustomError("no_such_day", "there is no such day")
    return value


Day = Annotated[
    str,
    StringConstraints(pattern=DAY),
    BeforeValidator(_real_day),
    Field(description="A day of every year, MM-DD. 02-29 is the last day of February."),
]


def day_number(day: str) -> int:
    """MM-DD as month x 100 + day, the way the table of rules keeps it."""
    return int(day[:2]) * 100 + int(day[3:])


class SunTime(Part):
    """A sun event at the set's place, an offset, and the clock time on a day without it."""

    sun: SunEvent
    offset_min: Whole = 0
    otherwise: Clock


def _clock_or_sun(value: object) -> str:
    return "sun" if isinstance(value, dict | SunTime) else "clock"


TimeOfDay = Annotated[
    Annotated[Clock, Tag("clock")] | Annotated[SunTime, Tag("sun")], Discriminator(_clock_or_sun)
]


class Window(Part):
    """From a time of day to another; past midnight when the second is the earlier."""

    start: TimeOfDay = Field(alias="from")
    end: TimeOfDay = Field(alias="to")


_DATED = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt ]")
_FIRST, _LAST = datetime(1900, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)


def _written(value: object) -> object:
    # A bare number would be read as seconds since 1970.
    if not isinstance(value, datetime) and not (isinstance(value, str) and _DATED.match(value)):
        raise PydanticCustomError("datetime_type", "a date and time with its offset is needed")
    return value


def _reckonable(value: datetime) -> datetime:
    """The years in which deadlines can be worked out (calc.deadlines)."""
    if not _FIRST <= value < _LAST:
        raise PydanticCustomError("datetime_range", "a moment from 1900 to 2199 is needed")
    return value


Moment = Annotated[AwareDatetime, BeforeValidator(_written), AfterValidator(_reckonable)]


Position = Annotated[tuple[Number, ...], Field(min_length=2, max_length=3)]
Ring = Annotated[tuple[Position, ...], Field(min_length=4)]
Rings = Annotated[tuple[Ring, ...], Field(min_length=1)]


class Polygon(Part):
    """A GeoJSON Polygon (RFC 7946, 3.1.6): longitude, latitude, WGS 84; holes after the outside."""

    type: Literal["Polygon"]
    coordinates: Rings

    @property
    def polygons(self) -> tuple[Rings, ...]:
        return (self.coordinates,)


class MultiPolygon(Part):
    """A GeoJSON MultiPolygon (RFC 7946, 3.1.7)."""

    type: Literal["MultiPolygon"]
    coordinates: Annotated[tuple[Rings, ...], Field(min_length=1)]

    @property
    def polygons(self) -> tuple[Rings, ...]:
        return self.coordinates


Area = Annotated[Polygon | MultiPolygon, Field(discriminator="type")]
