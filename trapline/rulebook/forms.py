"""What each form of rule asks for. The check forms' meaning is judged by calc.deadlines."""

from typing import Annotated, Literal

from pydantic import Field

from trapline.rulebook.parts import DATE, Clock, Day, Number, Part, Whole, Window
from trapline.rulebook.parts import TimeOfDay as Time


class _Tended(Part):
    no_tending: Window | None = None


class _Calendar(_Tended):
    by: Time | None = None
    between: Window | None = None


class WithinHours(_Tended):
    """At most so many elapsed hours after the last visit."""

    hours: Number


class EachDay(_Calendar):
    """At least once each local calendar day."""


class EveryDays(_Calendar):
    """Good until the end of the visit's date and so many days."""

    days: Whole


class EachWeek(_Calendar):
    """At least once in each calendar week; 0 is Monday."""

    first_weekday: Whole = 0


class TemperatureRow(Part):
    """Hours between visits while the air is from_c to to_c, degrees C, both inclusive."""

    from_c: Number
    to_c: Number
    hours: Number


class ByTemperature(_Tended):
    """Hours by the air's temperature, and the temperatures at which nothing may be set."""

    rows: tuple[TemperatureRow, ...]
    nothing_below_c: Number | None = None
    nothing_above_c: Number | None = None


class Monitored(_Tended):
    """A signal stands in for visits while a status comes at least every so many hours."""

    status_hours: Number
    visit_hours: Number


class NoInterval(_Tended):
    """Exempt by this rule; others, the team's own among them, still bind."""


class EachYear(Part):
    """Open from a day to a day of every year, over the new year when the second is earlier."""

    opens_on: Day
    opens_by: Clock | None = Field(None, description="Clock time; without it, the day's start.")
    closes_on: Day
    closes_by: Clock | None = Field(None, description="Clock time; without it, the day's end.")


Date = Annotated[str, Field(pattern=DATE, description="A date, YYYY-MM-DD.")]


class Once(Part):
    """Open from one date to another."""

    opens_on: Date
    opens_by: Clock | None = None
    closes_on: Date
    closes_by: Clock | None = None


class Count(Part):
    """So many animals, in a season or in a day."""

    count: Annotated[Whole, Field(ge=0, le=1_000_000)]
    within: Literal["season", "day"] = "season"
