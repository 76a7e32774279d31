"""The season's calendar and weather: it is laid so that `now` is in the middle of it."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from trapline.demo.story.chance import Chance
from trapline.demo.terrain.weather import weather

TZ = ZoneInfo("America/Whitehorse")
DAYS, SMALL_DAYS = 45, 14
# The winter that is drawn upon is always the same stretch of the year, whenever the demo is loaded.
WINTER_FROM = date(2025, 11, 1)
STORM_CM = 8.0  # new snow in a day at which few go out
GALE = 0.02  # chance of a day too windy for that, without snow


@dataclass(frozen=True)
class Season:
    """Days are numbered from 0, the day the season of the land animals opened."""

    now: datetime
    opens: date
    first_day: int  # the first day of which there is a record
    hours: NDArray[np.void]  # of weather, from 00:00 local of the day before the opening
    storms: frozenset[int]

    @property
    def today(self) -> int:
        return (self.now.astimezone(TZ).date() - self.opens).days

    def at(self, day: int, minutes: float) -> datetime:
        """So many minutes after midnight on a day's clock, to the second."""
        midnight = datetime.combine(self.opens + timedelta(days=day), time(), TZ)
        moment = midnight + timedelta(seconds=round(minutes * 60))
        return moment.astimezone(UTC)

    def day_of(self, at: datetime) -> int:
        return (at.astimezone(TZ).date() - self.opens).days

    def minutes_of(self, at: datetime) -> float:
        """Minutes after local midnight."""
        local = at.astimezone(TZ)
        return local.hour * 60 + local.minute + local.second / 60

    def _hour(self, at: datetime) -> int:
        begins = datetime.combine(self.opens - timedelta(days=1), time(), TZ)
        return min(max(int((at - begins) / timedelta(hours=1)), 0), len(self.hours) - 1)

    def weather(self, at: datetime, what: str) -> float:
        """snow_m, air_c, ice_m or water_m at a moment."""
        return float(self.hours[what][self._hour(at)])

    def new_snow_cm(self, since: datetime, until: datetime) -> float:
        return float(self.hours["snowfall_cm"][self._hour(since) : self._hour(until)].sum())

    def buried_at(self, since: datetime, until: datetime, depth_cm: float) -> datetime | None:
        """When so much new snow had fallen since, if it had by then."""
        first = self._hour(since)
        fallen = np.cumsum(self.hours["snowfall_cm"][first : self._hour(until)])
        reached = int(np.searchsorted(fallen, depth_cm))
        return since + timedelta(hours=reached) if reached < len(fallen) else None


def season_of(seed: int, now: datetime, *, small: bool = False) -> Season:
    """The season of a seed in which `now` is day 45."""
    opens = now.astimezone(TZ).date() - timedelta(days=DAYS)
    hours = weather(seed, WINTER_FROM - timedelta(days=1), DAYS + 4)
    by_day = hours["snowfall_cm"][24 : 24 * (DAYS + 3)].reshape(-1, 24).sum(axis=1)
    chance = Chance(seed + 1_000_003)
    gales = [chance.yes(GALE) for _ in by_day]
    storms = {day for day, cm in enumerate(by_day.tolist()) if cm >= STORM_CM or gales[day]}
    # The last days are quiet, so that what is overdue is what somebody forgot.
    first = DAYS - SMALL_DAYS if small else 0
    kept = frozenset(day for day in storms if first + 3 <= day < DAYS - 3)
    return Season(now, opens, first, hours, kept)


def in_this_year(rulebook: dict[str, Any], season: Season) -> dict[str, Any]:
    """The demo's rulebook with its season dates moved as the season is: 1 November is `opens`."""
    shift = date(2025, *_day_of_year(season.opens)) - date(2025, 11, 1)

    def moved(params: dict[str, Any]) -> dict[str, Any]:
        return {
            name: _moved(value, shift) if name in ("opens_on", "closes_on") else value
            for name, value in params.items()
        }

    rules = [
        {**rule, "params": moved(rule["params"])} if rule["matter"] == "season" else rule
        for rule in rulebook["rules"]
    ]
    return {**rulebook, "rules": rules}


def _day_of_year(day: date) -> tuple[int, int]:
    return day.month, min(day.day, 28) if day.month == 2 else day.day


def _moved(day: str, shift: timedelta) -> str:
    """A month and day, so many days later, in a year without 29 February."""
    month, number = (int(part) for part in day.split("-"))
    return f"{date(2025, month, number) + shift:%m-%d}"
