"""Snow on the ground, ice on still water and the creek's level, hour by hour, for the demo.

Made-up weather in, made-up readings out. Nothing here says what ice will bear.
"""

import numpy as np

from .frame import Floats

# Snow lies or melts by sums that are simple enough to check by hand:
MELT_MM_PER_DEGREE_DAY = 2.42  # forest mean of Kuusisto 1980, Nordic Hydrology 11:235-244
COLD_LIMIT_KG_M3 = 217.0  # taiga snow, Sturm et al. 2010, J. Hydrometeorology 11:1380 (from memory)
WET_LIMIT_KG_M3 = 350.0  # common practice, no source
SETTLE_HOURS = 100.0  # exp(-0.01 t/h), Verseghy 1991, Int. J. Climatology 11:111 (from memory)
# Ice: h = a (degree-days)^0.5, a = 1.7-2.4 cm for an average lake with snow (Stefan's law with
# Michel's 1971 coefficients as in the US Army Corps of Engineers' ice engineering manual,
# EM 1110-2-1612; read second-hand).
ICE_CM_PER_ROOT_DEGREE_DAY = 2.0
FREEZE_AFTER_DEGREE_DAYS = 45.0  # of our own making: a small lake's heat to lose first
# Creek: of our own making.
RECESSION_DAYS, STORM_DAYS = 110.0, 6.0
BASEFLOW_M, RISE_M_PER_MM, STAGE_UP_M = 0.8, 0.008, 0.18


def snow_share(air_c: Floats) -> Floats:
    """Share of precipitation that falls as snow, 0 to 1.

    A hyperbolic tangent in air temperature, half and half at 1.2 °C over land, slope 0.7 per °C:
    Dai 2008, Geophysical Research Letters 35:L12802.
    """
    return np.asarray(0.5 * (1 - np.tanh(0.7 * (air_c - 1.2))))


def fresh_density(air_c: Floats) -> Floats:
    """Density of new snow in kg/m³, 50 to 150.

    67.92 + 51.25 exp(T / 2.59), Hedstrom & Pomeroy 1998, Hydrological Processes 12:1611
    (from memory); the bounds are common practice.
    """
    return np.clip(67.92 + 51.25 * np.exp(np.minimum(air_c, 5.0) / 2.59), 50.0, 150.0)


def pack(air_c: Floats, rain_mm: Floats, snow_mm: Floats) -> tuple[Floats, Floats, Floats]:
    """(water equivalent mm, depth m, melt and rain that leave the pack mm), hourly like the inputs.

    New snow lies at its own density; the whole pack settles exponentially towards a limit, higher
    when it thaws; what melts is a degree-hour sum. Water in the pack is not held back.
    """
    fresh = fresh_density(air_c)
    melt = np.maximum(air_c, 0) * MELT_MM_PER_DEGREE_DAY / 24
    keep = np.exp(-1 / SETTLE_HOURS)
    water, depth, left = np.zeros((3, len(air_c)))
    mass = density = 0.0
    for hour in range(len(air_c)):
        limit = WET_LIMIT_KG_M3 if air_c[hour] > 0 else COLD_LIMIT_KG_M3
        if density < limit:
            density = limit + (density - limit) * keep
        if (new := float(snow_mm[hour])) > 0:
            lying = (mass / density if mass > 0 else 0.0) + new / float(fresh[hour])
            mass += new
            density = mass / lying
        gone = min(mass, float(melt[hour]))
        mass = mass - gone if mass - gone > 1e-3 else 0.0
        water[hour], depth[hour] = mass, mass / density if mass > 0 else 0.0
        left[hour] = gone + float(rain_mm[hour])
    return water, depth, left


def ice(air_c: Floats) -> Floats:
    """Thickness of ice on a small sheltered lake, metres, hourly.

    Degree-days of frost less thaw, never below nothing, less what the lake has to lose first.
    """
    frost = np.zeros(len(air_c))
    stored = 0.0
    for hour, air in enumerate(air_c.tolist()):
        stored = max(0.0, stored - air / 24)
        frost[hour] = stored
    beyond = np.maximum(frost - FREEZE_AFTER_DEGREE_DAYS, 0)
    return np.asarray(ICE_CM_PER_ROOT_DEGREE_DAY / 100 * np.sqrt(beyond))


def level(leaving_mm: Floats, ice_m: Floats) -> Floats:
    """The creek's level in metres above its level in the first hour.

    Baseflow draws down exponentially, rain and melt raise it and drain off, and the ice cover
    backs the water up as it forms, by `STAGE_UP_M` at most.
    """
    hours = np.arange(len(leaving_mm))
    base = BASEFLOW_M * (np.exp(-hours / 24 / RECESSION_DAYS) - 1)
    keep, storm = np.exp(-1 / 24 / STORM_DAYS), 0.0
    raised = np.zeros(len(leaving_mm))
    for hour, amount in enumerate(leaving_mm.tolist()):
        storm = storm * keep + amount * RISE_M_PER_MM
        raised[hour] = storm
    found = base + raised + STAGE_UP_M * (1 - np.exp(-ice_m / 0.06))
    return np.asarray(found - found[0])
