"""The weakest part of an assembly: it bears no more than that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

# Parts through which an animal's pull goes to what holds the device. Frames, springs, triggers
# and supports carry none of it.
BEARING = frozenset({"cable", "lock", "swivel", "breakaway", "chain", "stake"})


@dataclass(frozen=True)
class Link:
    """A part: its role, its kind, what it bears (None where nobody has entered it)."""

    role: str
    name: str
    breaking_load_n: float | None


@dataclass(frozen=True)
class Strength:
    """What an assembly bears.

    `load_n` is the least of the known loads; `weakest` the parts with it. While `unknown` is not
    empty the assembly bears at most that. `meant` is whether only a breakaway is weakest: it opens
    on purpose; `without_breakaway_n` is what holds if it does not.
    """

    load_n: float | None
    weakest: tuple[Link, ...]
    unknown: tuple[Link, ...]
    meant: bool
    without_breakaway_n: float | None

    @property
    def sure(self) -> bool:
        """Whether every bearing part's load is known."""
        return self.load_n is not None and not self.unknown


def weakest(links: Sequence[Link]) -> Strength:
    """The strength of an assembly from its parts in any order; parts that bear nothing aside."""
    bearing = [one for one in links if one.role in BEARING]
    unknown = tuple(one for one in bearing if one.breaking_load_n is None)
    load = _least(bearing)
    least = tuple(one for one in bearing if load is not None and one.breaking_load_n == load)
    lasting = _least([one for one in bearing if one.role != "breakaway"])
    meant = bool(least) and all(one.role == "breakaway" for one in least)
    return Strength(load, least, unknown, meant, lasting)


def _least(links: Sequence[Link]) -> float | None:
    known = [one.breaking_load_n for one in links if one.breaking_load_n is not None]
    return min(known, default=None)


def falls_short(found: Strength, asked_n: float) -> bool | None:
    """Whether what an animal asks is more than the assembly bears. None: nobody can say.

    A weak known part decides even where others are unknown. A breakaway that is weakest on purpose
    is not held against the rest.
    """
    load = found.without_breakaway_n if found.meant else found.load_n
    if load is not None and load < asked_n:
        return True
    return False if found.sure else None
