"""Energy of walking a line with a load, above rest, and of work at the sets.

Pandolf, Givoni and Goldman 1977, J. Appl. Physiol. 43:577-581:
M = 1.5 W + 2.0 (W + L)(L / W)^2 + eta (W + L)(1.5 V^2 + 0.35 V G), watts; W body and L load in
kg, V m/s, G per cent. 1.5 W is rest. The equation does not hold downhill: a grade below 0 % is
refused; such a leg is given as level or left out, and said so.
"""

from __future__ import annotations

from dataclasses import dataclass

KCAL_PER_HOUR_PER_WATT = 0.860421  # 3600 s / 4184 J
# Compendium of Physical Activities 2011 (Ainsworth et al., Med. Sci. Sports Exerc. 43:1575-1581),
# code 04124 "trapping game, general". One MET is about 1 kcal per kg and hour.
AT_THE_SET_MET = 2.0


@dataclass(frozen=True)
class Terrain:
    """A terrain coefficient eta: the value used, and the range over published tables."""

    code: str
    eta: float
    least: float
    most: float


# Soule and Goldman's coefficients as two published tables give them; where they disagree the
# range is shown beside the value. Soft snow: 1.3 + 0.08 per cm that the foot sinks.
TERRAINS = {
    one.code: one
    for one in (
        Terrain("paved", 1.0, 1.0, 1.0),
        Terrain("dirt_track", 1.1, 1.1, 1.1),
        Terrain("gravel", 1.2, 1.2, 1.2),
        Terrain("hard_snow", 1.3, 1.3, 1.3),
        Terrain("heavy_brush", 1.5, 1.5, 1.5),
        Terrain("bog", 1.6, 1.6, 3.5),
        Terrain("loose_sand", 2.1, 2.0, 2.1),
    )
}


def soft_snow(sunk_cm: float) -> Terrain:
    """The coefficient where the foot sinks so far (0 to 35 cm; 35 cm gives 4.1)."""
    if not 0 <= sunk_cm <= 35:
        raise ValueError("sunk_cm: from 0 to 35 is needed")
    eta = 1.3 + 0.08 * sunk_cm
    return Terrain("soft_snow", eta, eta, eta)


def load_carriage_w(
    body_kg: float, load_kg: float, speed_m_s: float, grade_percent: float, eta: float
) -> float:
    """Metabolic rate in watts, rest included. ValueError names the field that does not fit."""
    for name, value in (("body_kg", body_kg), ("eta", eta)):
        if not value > 0:
            raise ValueError(f"{name}: more than 0 is needed")
    for name, value in (("load_kg", load_kg), ("speed_m_s", speed_m_s)):
        if not value >= 0:
            raise ValueError(f"{name}: 0 or more is needed")
    if not grade_percent >= 0:
        raise ValueError("grade_percent: the equation does not hold below 0 %")
    moved = body_kg + load_kg
    standing = 1.5 * body_kg + 2.0 * moved * (load_kg / body_kg) ** 2
    return standing + eta * moved * (1.5 * speed_m_s**2 + 0.35 * speed_m_s * grade_percent)


@dataclass(frozen=True)
class Leg:
    """A part of a round on foot."""

    distance_m: float
    speed_m_s: float
    load_kg: float
    grade_percent: float
    terrain: Terrain


@dataclass(frozen=True)
class Cost:
    """Kilocalories above rest, with the range that the published coefficients leave."""

    kcal: float
    least: float
    most: float
    hours: float


def round_cost(body_kg: float, legs: list[Leg], hours_at_sets: float) -> Cost:
    """What a round on foot costs above rest: its legs, and the work at the sets."""
    if not hours_at_sets >= 0:
        raise ValueError("hours_at_sets: 0 or more is needed")
    kcal = [0.0, 0.0, 0.0]
    hours = hours_at_sets
    for leg in legs:
        if not leg.speed_m_s > 0:
            raise ValueError("speed_m_s: more than 0 is needed")
        walked = leg.distance_m / leg.speed_m_s / 3600
        hours += walked
        for at, eta in enumerate((leg.terrain.eta, leg.terrain.least, leg.terrain.most)):
            watts = load_carriage_w(body_kg, leg.load_kg, leg.speed_m_s, leg.grade_percent, eta)
            kcal[at] += (watts - 1.5 * body_kg) * KCAL_PER_HOUR_PER_WATT * walked
    work = (AT_THE_SET_MET - 1) * body_kg * hours_at_sets
    return Cost(kcal[0] + work, kcal[1] + work, kcal[2] + work, hours)
