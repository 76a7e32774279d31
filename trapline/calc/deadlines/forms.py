"""The forms that law gives to check intervals, as frozen values read from plain JSON.

Parameters by form (those in brackets may be left out):

- within_hours: hours [no_tending]
- each_day: [by] [between] [no_tending]
- every_days: days [by] [between] [no_tending]
- each_week: [first_weekday, 0 is Monday] [by] [between] [no_tending]
- by_temperature: rows [{from_c, to_c, hours}] [nothing_below_c] [nothing_above_c] [no_tending]
- monitored: status_hours, visit_hours [no_tending]
- none: [no_tending]

`by` is a time of day, `between` and `no_tending` are {"from": ..., "to": ...} of two. A
time of day is "HH:MM" (local), or {"sun": "sunset", "offset_min": 120, "otherwise":
"18:00"}, where `otherwise` is the clock time that serves on a day without that event.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, get_args

from trapline.calc.clock import HOUR_US, SECOND_US
from trapline.calc.daylight import SUN_EVENTS, SunEvent

FormName = Literal[
    "within_hours",
    "each_day",
    "every_days",
    "each_week",
    "by_temperature",
    "monitored",
    "none",
]
FORMS: tuple[FormName, ...] = get_args(FormName)

MAX_DAYS = 366
_CALENDAR = frozenset({"each_day", "every_days", "each_week"})
_CLOCK = re.compile(r"([01]\d|2[0-3]):([0-5]\d)")


class FormError(ValueError):
    """A parameter that cannot be read: `field` is its dotted path, `code` what is wrong."""

    def __init__(self, field: str, code: str) -> None:
        super().__init__(f"{field}: {code}")
        self.field = field
        self.code = code


@dataclass(frozen=True)
class TimeOfDay:
    """A local clock time, or a sun event with an offset and a clock time to fall back on.

    `clock_min` is minutes after midnight: the time itself when `sun` is None, otherwise
    the stated time that serves, without the offset, where the event does not happen.
    """

    clock_min: int
    sun: SunEvent | None = None
    offset_min: int = 0

    @property
    def clock_us(self) -> int:
        return self.clock_min * 60 * SECOND_US

    @property
    def offset_us(self) -> int:
        return self.offset_min * 60 * SECOND_US


Window = tuple[TimeOfDay, TimeOfDay]


@dataclass(frozen=True)
class TemperatureRow:
    """Hours between visits while the air is from_c to to_c (degrees C, both inclusive)."""

    from_c: float
    to_c: float
    hours: float


@dataclass(frozen=True)
class TemperatureTable:
    """Rows, and the temperatures below or above which nothing may be set."""

    rows: tuple[TemperatureRow, ...]
    nothing_below_c: float | None = None
    nothing_above_c: float | None = None

    @property
    def strictest_hours(self) -> float:
        return min(row.hours for row in self.rows)


@dataclass(frozen=True)
class CheckForm:
    """One check interval. Build it with `from_params`, which checks what it is given."""

    form: FormName
    hours: float | None = None
    days: int | None = None
    first_weekday: int = 0
    by: TimeOfDay | None = None
    between: Window | None = None
    no_tending: Window | None = None
    temperature: TemperatureTable | None = None
    status_hours: float | None = None
    visit_hours: float | None = None
    needs_place: bool = field(init=False)
    """Whether a sun event, and so the set's place, has a part in it."""

    def __post_init__(self) -> None:
        times = [self.by, *(self.between or ()), *(self.no_tending or ())]
        needs = any(time is not None and time.sun is not None for time in times)
        object.__setattr__(self, "needs_place", needs)


def hours_us(hours: float) -> int:
    """Hours as microseconds, rounded down: never in the user's favour."""
    return math.floor(hours * HOUR_US)


def from_params(form: str, params: Mapping[str, Any]) -> CheckForm:
    """The check form that a rule's parameters describe.

    Raises FormError (a ValueError) with the field and a code: unknown, missing, number,
    whole_number, range, clock, event, order, table, overlap or same.
    """
    if form not in FORMS:
        raise FormError("form", "unknown")
    fields = _Fields(params, "")
    made: dict[str, Any] = {"form": form, "no_tending": fields.window("no_tending")}
    if form in _CALENDAR:
        made["by"] = fields.time("by")
        made["between"] = fields.window("between")
    match form:
        case "within_hours":
            made["hours"] = fields.hours("hours")
        case "each_day":
            made["days"] = 1
        case "every_days":
            made["days"] = fields.whole("days", 1, MAX_DAYS)
        case "each_week":
            made["first_weekday"] = fields.whole("first_weekday", 0, 6, default=0)
        case "by_temperature":
            made["temperature"] = _table(fields)
        case "monitored":
            made["status_hours"] = fields.hours("status_hours")
            made["visit_hours"] = fields.hours("visit_hours")
    fields.done()
    return CheckForm(**made)


class _Fields:
    """Takes a mapping apart and remembers what nobody asked for."""

    def __init__(self, values: object, path: str) -> None:
        if not isinstance(values, Mapping):
            raise FormError(path.rstrip(".") or "params", "table")
        self._values = {k: v for k, v in values.items() if v is not None}
        self._path = path
        self._asked: set[str] = set()

    def _take(self, name: str) -> Any:
        self._asked.add(name)
        return self._values.get(name)

    def done(self) -> None:
        for name in self._values:
            if name not in self._asked:
                raise FormError(f"{self._path}{name}", "unknown")

    def number(self, name: str, *, needed: bool = True) -> float | None:
        value = self._take(name)
        if value is None and not needed:
            return None
        if value is None:
            raise FormError(self._path + name, "missing")
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise FormError(self._path + name, "number")
        if not math.isfinite(value):
            raise FormError(self._path + name, "number")
        return float(value)

    def degrees(self, name: str) -> float:
        value = self.number(name)
        assert value is not None
        return value

    def hours(self, name: str) -> float:
        value = self.degrees(name)
        if not 0 < value <= 24 * MAX_DAYS:
            raise FormError(self._path + name, "range")
        return value

    def whole(self, name: str, least: int, most: int, default: int | None = None) -> int:
        value = self._take(name)
        if value is None and default is not None:
            return default
        if value is None:
            raise FormError(self._path + name, "missing")
        if isinstance(value, bool) or not isinstance(value, int):
            raise FormError(self._path + name, "whole_number")
        if not least <= value <= most:
            raise FormError(self._path + name, "range")
        return value

    def clock_min(self, name: str) -> int:
        value = self._take(name)
        if value is None:
            raise FormError(self._path + name, "missing")
        return _clock_min(value, self._path + name)

    def time(self, name: str, *, needed: bool = False) -> TimeOfDay | None:
        value = self._take(name)
        path = self._path + name
        if value is None and needed:
            raise FormError(path, "missing")
        if value is None:
            return None
        if isinstance(value, str):
            return TimeOfDay(_clock_min(value, path))
        inner = _Fields(value, path + ".")
        sun = inner._take("sun")
        if sun not in SUN_EVENTS:
            raise FormError(path + ".sun", "missing" if sun is None else "event")
        offset = inner.whole("offset_min", -12 * 60, 12 * 60, default=0)
        made = TimeOfDay(inner.clock_min("otherwise"), sun, offset)
        inner.done()
        return made

    def window(self, name: str) -> Window | None:
        value = self._take(name)
        if value is None:
            return None
        inner = _Fields(value, f"{self._path}{name}.")
        start, end = inner.time("from", needed=True), inner.time("to", needed=True)
        inner.done()
        assert start is not None and end is not None
        if start == end or (start.clock_min == end.clock_min and not (start.sun and end.sun)):
            # From six to six is either nothing or the whole day: the rule must say which.
            raise FormError(f"{self._path}{name}.to", "same")
        return start, end

    def items(self, name: str) -> list[Any]:
        value = self._take(name)
        if value is None:
            raise FormError(self._path + name, "missing")
        if not isinstance(value, list | tuple) or not value:
            raise FormError(self._path + name, "table")
        return list(value)


def _clock_min(value: object, path: str) -> int:
    match = _CLOCK.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        raise FormError(path, "clock")
    return int(match[1]) * 60 + int(match[2])


def _table(fields: _Fields) -> TemperatureTable:
    rows = []
    for number, item in enumerate(fields.items("rows")):
        row = _Fields(item, f"rows.{number}.")
        made = TemperatureRow(row.degrees("from_c"), row.degrees("to_c"), row.hours("hours"))
        row.done()
        if made.from_c > made.to_c:
            raise FormError(f"rows.{number}.to_c", "order")
        rows.append(made)
    below = fields.number("nothing_below_c", needed=False)
    above = fields.number("nothing_above_c", needed=False)
    if below is not None and above is not None and below >= above:
        raise FormError("nothing_above_c", "order")
    return TemperatureTable(tuple(rows), below, above)
