"""A kind of device as it is carried and set, and what one of it may be expected to catch."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import binom

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Kit:
    """What one catch spends and a spare makes good again: a snare's cable, a restraint's stop.

    sold: whether more than what the team has can be bought.
    """

    mass_kg: float
    volume_l: float = 0.0
    price: float = 0.0
    have: int = 0
    sold: bool = True


@dataclass(frozen=True)
class Kind:
    """A kind of device. Masses in kg, volumes in litres, times in minutes, rates per night.

    `rates`: catches per night in service, one for each species of the question; `empty`: springings
    without a catch. `kit` is None for a device that catches again and again. `in_service`: the
    share of nights it serves (snow and ice take the rest). `have`: how many the team owns, more
    are bought at `price`; `most`: no more than so many, by law or by choice.
    """

    key: str
    mass_kg: float
    volume_l: float
    set_up_min: float
    check_min: float
    rates: tuple[float, ...]
    empty: float = 0.0
    tend_min: float = 0.0  # dispatch and remaking, for each catch
    in_service: float = 1.0
    price: float = 0.0
    have: int = 0
    most: int | None = None
    kit: Kit | None = None


@dataclass(frozen=True)
class Stay:
    """How long devices stand: `checks` rounds, one every `nights` nights."""

    nights: float
    checks: int

    @property
    def total(self) -> float:
        """Nights from placing to the last check."""
        return self.nights * self.checks


def caught_by_a_check(kind: Kind, stay: Stay) -> float:
    """The chance that a device which stood ready holds an animal at the next check.

    A device is disturbed once between two checks, by whatever comes first: with total rate L and
    n nights in service, a catch with chance (catch rates / L) (1 - exp(-L n)).
    """
    catching = sum(kind.rates)
    total = catching + kind.empty
    if total <= 0:
        return 0.0
    return catching / total * -float(np.expm1(-total * stay.nights * kind.in_service))


def expected(kind: Kind, stay: Stay, kits: int | None = None) -> Floats:
    """Animals one device catches over the stay, one figure a species.

    kits: how many catches its single-use parts allow, the first included; None: no end. Each catch
    spends one, so it is the mean of the lesser of kits and a binomial count. Kits are reckoned for
    each device by itself: shared among devices they go a little further, never less far.
    """
    catching = sum(kind.rates)
    if catching <= 0:
        return np.zeros(len(kind.rates))
    q = caught_by_a_check(kind, stay)
    if kits is None or kits >= stay.checks:
        count = stay.checks * q
    else:
        count = float(binom.sf(np.arange(kits), stay.checks, q).sum())
    return count * np.asarray(kind.rates) / catching


def checked(kinds: list[Kind], stay: Stay) -> None:
    """ValueError that names what cannot be carried, caught or counted so."""
    if not (stay.nights > 0 and stay.checks >= 1):
        raise ValueError("stay: at least one check after more than 0 nights is needed")
    for kind in kinds:
        amounts = (kind.volume_l, kind.set_up_min, kind.check_min, kind.tend_min, kind.price,
                   kind.empty, kind.have, kind.most or 0, *kind.rates)  # fmt: skip
        if not (kind.mass_kg > 0 and min(amounts) >= 0 and np.isfinite(amounts).all()):
            raise ValueError(f"{kind.key}: a mass above 0 and no amount below 0 are needed")
        if not 0 <= kind.in_service <= 1:
            raise ValueError(f"{kind.key}: a share of nights from 0 to 1 is needed")
        if len(kind.rates) != len(kinds[0].rates):
            raise ValueError(f"{kind.key}: one rate for each species is needed")
