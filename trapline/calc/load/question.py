"""What is asked of a load, and what a load is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from trapline.calc.load.kinds import Floats, Kind, Stay, checked


@dataclass(frozen=True)
class Limits:
    """What may be carried, spent and tended; infinite for no limit. `sets` is always needed.

    check_min: of one round, tending the catches of a round on average included. money: for what
    the team does not own. law: (keys of kinds, most of them together).
    """

    sets: int
    mass_kg: float = float("inf")
    volume_l: float = float("inf")
    set_up_min: float = float("inf")
    check_min: float = float("inf")
    money: float = 0.0
    law: tuple[tuple[frozenset[str], int], ...] = ()


# One more of each limit, for "one more ... adds ...".
STEPS: Mapping[str, float] = {
    "sets": 1, "mass_kg": 1.0, "volume_l": 5.0, "set_up_min": 30.0, "check_min": 30.0,
    "money": 10.0,
}  # fmt: skip


@dataclass(frozen=True)
class Carried:
    """So many of one kind, and the spare kits carried for them. `to_buy` of each the team lacks."""

    key: str
    devices: int
    spare_kits: int
    to_buy: int
    kits_to_buy: int
    catches: Floats  # expected, one figure a species
    gain: float


@dataclass(frozen=True)
class Load:
    """A plan: what is carried, what it may gain, and how much of each limit it uses."""

    carried: tuple[Carried, ...]
    gain: float
    used: Mapping[str, float]

    @property
    def counts(self) -> dict[str, int]:
        """Devices by kind."""
        return {one.key: one.devices for one in self.carried}


@dataclass(frozen=True)
class Question:
    """Kinds, how long they stand, what a catch of each species is worth, and the limits."""

    kinds: tuple[Kind, ...]
    stay: Stay
    worth: tuple[float, ...]
    limits: Limits

    def checked(self) -> None:
        """ValueError that names the kind or limit that cannot be."""
        checked(list(self.kinds), self.stay)
        for name in STEPS:
            if not getattr(self.limits, name) >= 0:
                raise ValueError(f"{name}: 0 or more is needed")
        if not np.isfinite(self.limits.sets):
            raise ValueError("sets: how many sets can be checked is needed")
        if any(len(kind.rates) != len(self.worth) for kind in self.kinds):
            raise ValueError("worth: one figure for each species is needed")
        if not all(np.isfinite(one) and one >= 0 for one in self.worth):
            raise ValueError("worth: 0 or more is needed")
