"""Chance by a seed: the same seed draws the same season, its ids included."""

from collections.abc import Mapping
from datetime import datetime
from typing import TypeVar
from uuid import UUID

import numpy as np

T = TypeVar("T")


class Chance:
    """A seeded source of everything that could have been otherwise."""

    def __init__(self, seed: int) -> None:
        self._rng = np.random.default_rng([seed, 0x5E7])

    def yes(self, chance: float) -> bool:
        return float(self._rng.random()) < chance

    def between(self, low: float, high: float) -> float:
        return float(self._rng.uniform(low, high))

    def around(self, mean: float, spread: float) -> float:
        """From a normal."""
        return float(self._rng.normal(mean, spread))

    def waits(self, hazard: float) -> float:
        """How long until something with this constant hazard comes; never, for 0."""
        return float(self._rng.exponential(1 / hazard)) if hazard > 0 else float("inf")

    def effect(self, shape: float) -> float:
        """From a gamma of mean 1."""
        return float(self._rng.gamma(shape, 1 / shape))

    def one_of(self, weights: Mapping[T, float]) -> T:
        keys = list(weights)
        share = np.array([weights[key] for key in keys])
        return keys[int(self._rng.choice(len(keys), p=share / share.sum()))]

    def some(self, items: list[T], count: int) -> list[T]:
        """So many of them, none twice, in their own order."""
        picked = self._rng.permutation(len(items))[:count]
        return [items[n] for n in sorted(picked.tolist())]

    def id(self, at: datetime) -> UUID:
        """A UUID version 7 (RFC 9562, 5.7) of this moment."""
        tail = int.from_bytes(self._rng.bytes(10), "big")
        made = int(at.timestamp() * 1000) << 80 | tail
        made = made & ~(0xF << 76) | 0x7 << 76
        return UUID(int=made & ~(0x3 << 62) | 0x2 << 62)
