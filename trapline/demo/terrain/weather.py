"""The season's weather by seed: an invented boreal valley near 62 degrees north.

Air temperature is a yearly wave, a day's wave and a first-order autoregressive departure;
precipitation comes in events that arrive at random. The wave is set so that the year's mean is
that of the south-eastern Yukon's normals, -2.9 °C (Environment Canada 1971-2000, read
second-hand), with a January of about -20 °C and some 1.5 to 2 m of snow falling in a winter.
"""

from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

from .frame import Floats
from .snowpack import fresh_density, ice, level, pack, snow_share

HOURLY = np.dtype(
    [
        ("time", "datetime64[h]"),  # UTC
        ("air_c", "f8"),  # air temperature, °C
        ("rain_mm", "f8"),
        ("snowfall_cm", "f8"),  # depth of the new snow as it fell
        ("swe_mm", "f8"),  # water equivalent of the snow on the ground
        ("snow_m", "f8"),  # depth of the snow on the ground
        ("water_m", "f8"),  # the creek's level above that of the season's first hour
        ("ice_m", "f8"),  # on a small lake; never a sign that ice is safe
    ]
)
DAILY = np.dtype(
    [
        ("day", "datetime64[D]"),
        ("mean_c", "f8"),
        ("low_c", "f8"),
        ("high_c", "f8"),
        ("rain_mm", "f8"),
        ("snowfall_cm", "f8"),
        ("snow_m", "f8"),  # at the day's end
        ("water_m", "f8"),  # at the day's end
        ("ice_m", "f8"),  # at the day's end
    ]
)
YEAR_MEAN_C, YEAR_WAVE_C, COLDEST_DAY = -2.9, 17.6, 15
DEPARTURE_C, DAY_TO_DAY = 7.2, 0.82
EVENTS_PER_DAY, EVENT_MM, EVENT_HOURS = 0.30, 2.5, 9.0
LON = -128.4  # for the hour of the sun
SEASON_FROM = (8, 15)  # month and day on which a season's weather begins, bare and unfrozen


def weather(seed: int, start: date, days: int) -> NDArray[np.void]:
    """Hourly weather from `start` (00:00 UTC) for `days` days; dtype `HOURLY`.

    The same seed gives the same bytes, and any two stretches of one season agree where they
    overlap. Seasons run from 15 August to 14 August. Errors: ValueError for no days, or for a
    stretch that runs past its season's end.
    """
    first = date(start.year, *SEASON_FROM)
    if start < first:
        first = date(start.year - 1, *SEASON_FROM)
    last = date(first.year + 1, *SEASON_FROM)
    if days < 1:
        raise ValueError(f"Weather for {days} days cannot be made; ask for one or more.")
    if start + timedelta(days=days) > last:
        most = (last - start).days
        raise ValueError(f"The season that holds {start} ends after {most} days; ask for no more.")
    season = _season(np.random.default_rng([seed, first.year]), first, (last - first).days)
    skip = (start - first).days * 24
    return season[skip : skip + days * 24]


def _season(rng: np.random.Generator, first: date, days: int) -> NDArray[np.void]:
    hours = np.arange(days * 24, dtype=np.float64)
    wet_mm = _precipitation(rng, hours.size)
    air = _air(rng, first, hours, wet_mm)
    share = snow_share(air)
    snow_mm, rain_mm = wet_mm * share, wet_mm * (1 - share)
    # Traces of the one in the other are given to the other.
    rain_mm = np.where(snow_mm < 0.02, wet_mm, np.where(rain_mm < 0.01, 0.0, rain_mm))
    snow_mm = np.where(snow_mm < 0.02, 0.0, wet_mm - rain_mm)
    swe, depth, leaving = pack(air, rain_mm, snow_mm)
    frozen = ice(air)
    found = np.zeros(hours.size, dtype=HOURLY)
    found["time"] = np.datetime64(first, "h") + np.arange(hours.size)
    found["air_c"], found["rain_mm"] = air, rain_mm
    found["snowfall_cm"] = 100 * snow_mm / fresh_density(air)
    found["swe_mm"], found["snow_m"] = swe, depth
    found["water_m"], found["ice_m"] = level(leaving, frozen), frozen
    return found


def _precipitation(rng: np.random.Generator, hours: int) -> Floats:
    """Millimetres of water an hour: events of gamma length and amount, arriving at random."""
    wet = np.zeros(hours + 72)
    count = rng.poisson(EVENTS_PER_DAY * hours / 24)
    starts = np.sort(rng.integers(0, hours, count))
    lengths = np.clip(rng.gamma(2.0, EVENT_HOURS / 2, count), 2, 60).astype(int)
    amounts = rng.gamma(0.8, EVENT_MM / 0.8, count)
    for begin, length, amount in zip(
        starts.tolist(), lengths.tolist(), amounts.tolist(), strict=True
    ):
        shape = np.sin(np.pi * (np.arange(length) + 0.5) / length)
        wet[begin : begin + length] += amount * shape / shape.sum()
    return np.where(wet[:hours] < 0.02, 0.0, wet[:hours])


def _air(rng: np.random.Generator, first: date, hours: Floats, wet_mm: Floats) -> Floats:
    """Air temperature in °C: year, day, departure, and the warmth that winter clouds bring."""
    day_of_year = first.timetuple().tm_yday + hours / 24
    year = 2 * np.pi * (day_of_year - COLDEST_DAY) / 365.25
    winter = 0.5 * (1 + np.cos(year))  # 1 in the middle of winter, 0 in that of summer
    sun_hour = hours % 24 + LON / 15
    swing = (5.0 - 3.6 * winter) * np.cos(2 * np.pi * (sun_hour - 15) / 24)
    phi = DAY_TO_DAY ** (1 / 24)
    noise = rng.standard_normal(hours.size) * np.sqrt(1 - phi**2)
    noise[0] = rng.standard_normal()
    departure = lfilter([1.0], [1.0, -phi], noise) * DEPARTURE_C * (0.55 + 0.45 * winter)
    cloud = lfilter([0.12], [1.0, -0.88], np.minimum(wet_mm / 0.15, 1.0))
    air = YEAR_MEAN_C - YEAR_WAVE_C * np.cos(year) + swing + departure + 5.0 * winter * cloud
    return np.asarray(air)


def daily(hours: NDArray[np.void]) -> NDArray[np.void]:
    """Whole days of hourly weather, one row a (UTC) day; dtype `DAILY`."""
    days = len(hours) // 24
    part = hours[: days * 24].reshape(days, 24)
    found = np.zeros(days, dtype=DAILY)
    found["day"] = part["time"][:, 0].astype("datetime64[D]")
    air = part["air_c"]
    found["mean_c"], found["low_c"], found["high_c"] = air.mean(1), air.min(1), air.max(1)
    for name in ("rain_mm", "snowfall_cm"):
        found[name] = part[name].sum(axis=1)
    for name in ("snow_m", "water_m", "ice_m"):
        found[name] = part[name][:, -1]
    return found


def freeze_up(hours: NDArray[np.void]) -> date | None:
    """The day from which a small lake keeps its ice to the end of the stretch, None if never."""
    bare = np.nonzero(hours["ice_m"] <= 0)[0]
    begins = int(bare[-1]) + 1 if bare.size else 0
    if begins >= len(hours):
        return None
    found: date = hours["time"][begins].astype("datetime64[D]").item()
    return found
