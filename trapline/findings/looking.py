"""What a finding function is given and gives: facts beside what is asked, and the rows found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from trapline.binding.matters import VersionRules
from trapline.binding.profiles import Profile
from trapline.binding.world import World
from trapline.calc.clock import DAY_US, to_us, zone_table
from trapline.findings.asked import NO_RULE, Asked, Bounds, asked
from trapline.findings.facts import Bools, Facts, Floats, Ints, Objects, days_of
from trapline.findings.fit import FitTable
from trapline.findings.models import Severity


@dataclass(frozen=True)
class Found:
    """Rows at which something is wrong, the numbers it rests on (columns of the rows' length),

    the rule each falls short of (a number; NO_RULE: none), and what tells it from another of its
    code.
    """

    rows: Ints
    numbers: dict[str, Any]
    rule: Ints
    discriminator: str = ""


Judge = Callable[["Looking"], "list[Found]"]


@dataclass(frozen=True)
class Code:
    """A finding by its code: how severe it is, and the function that finds it."""

    code: str
    severity: Severity
    judge: Judge


CODES: dict[str, Code] = {}


def finding(code: str, severity: Severity) -> Callable[[Judge], Judge]:
    """Enter a function in the catalogue of findings."""

    def enter(judge: Judge) -> Judge:
        CODES[code] = Code(code, severity, judge)
        return judge

    return enter


@dataclass(frozen=True)
class Looking:
    """Facts of many sets, and per likeness of sets what the rules and the fit table ask."""

    facts: Facts
    world: World
    rules: VersionRules | None
    fit: FitTable
    profiles: tuple[Profile, ...]
    asked: tuple[Asked, ...]
    profile_no: Ints

    @classmethod
    def at(cls, facts: Facts, world: World, rules: VersionRules | None, fit: FitTable) -> Looking:
        """Each distinct profile is asked once."""
        numbers: dict[str, int] = {}
        texts = facts.profile.tolist()
        profile_no = np.array(
            [numbers.setdefault(text, len(numbers)) for text in texts], dtype=np.int64
        )
        profiles = tuple(Profile.read(text) for text in numbers)
        answers = tuple(asked(rules, profile, world) for profile in profiles)
        return cls(facts, world, rules, fit, profiles, answers, profile_no)

    @property
    def moment_us(self) -> int:
        return to_us(self.world.moment)

    @cached_property
    def today(self) -> Ints:
        """The bit of each set's local date in a mask of days."""
        return self.each(lambda profile, _: self._local(profile.tz)[0], np.int64)

    @cached_property
    def local_day(self) -> Ints:
        """Each set's local date, days since 1970."""
        return self.each(lambda profile, _: self._local(profile.tz)[1], np.int64)

    @cached_property
    def midnight_us(self) -> Ints:
        """When each set's local date changes next."""
        return self.each(lambda profile, _: self._local(profile.tz)[2], np.int64)

    def _local(self, tz: str) -> tuple[int, int, int]:
        known = self._days.get(tz)
        if known is None:
            at = np.array([self.moment_us], dtype=np.int64)
            table = zone_table(ZoneInfo(tz), self.moment_us, self.moment_us + 3 * DAY_US)
            day = table.day(at)
            known = days_of(self.world.moment, int(day[0])), int(day[0]), int(table.end_of(day)[0])
            self._days[tz] = known
        return known

    @cached_property
    def _days(self) -> dict[str, tuple[int, int, int]]:
        return {}

    def each(self, of: Callable[[Profile, Asked], Any], dtype: Any) -> NDArray[Any]:
        """A value of each set's profile, as a column."""
        values = [of(*both) for both in zip(self.profiles, self.asked, strict=True)]
        if dtype is np.object_:
            column = np.empty(len(values), dtype=np.object_)
            column[:] = values
        else:
            column = np.array(values, dtype=dtype)
        return column[self.profile_no] if values else np.zeros(0, dtype=dtype)

    def bounds(self, of: Callable[[Asked], Bounds | None]) -> tuple[Floats, Ints, Floats, Ints]:
        """Low, its rule, high, its rule, as columns; without a bound nothing falls outside."""
        got = [of(one) or Bounds() for one in self.asked]
        low = np.array([one.low for one in got], dtype=np.float64)
        low_rule = np.array([one.low_rule for one in got], dtype=np.int64)
        high = np.array([one.high for one in got], dtype=np.float64)
        high_rule = np.array([one.high_rule for one in got], dtype=np.int64)
        no = self.profile_no
        return low[no], low_rule[no], high[no], high_rule[no]

    def is_class(self, *classes: str) -> Bools:
        """Which sets have a device of one of these classes."""
        return self.each(lambda profile, _: profile.device_class in classes, np.bool_)

    def is_placed(self, *placements: str) -> Bools:
        """Which sets are placed so."""
        return self.each(lambda profile, _: profile.placement in placements, np.bool_)


def where(
    mask: Bools, numbers: dict[str, Any] | None = None, rule: Ints | int = NO_RULE, what: str = ""
) -> list[Found]:
    """Found at the rows of a mask; columns of numbers are cut to them. None: nothing found."""
    rows = np.flatnonzero(mask)
    if not len(rows):
        return []
    cut = {
        name: value[rows] if isinstance(value, np.ndarray) else value
        for name, value in (numbers or {}).items()
    }
    rules = rule[rows] if isinstance(rule, np.ndarray) else np.full(len(rows), rule, dtype=np.int64)
    return [Found(rows, cut, rules, what)]


def unlike(texts: Objects, wanted: Callable[[str], bool]) -> Bools:
    """Which texts answer, each distinct one asked once."""
    answers: dict[str, bool] = {}
    return np.array(
        [
            answers[text] if text in answers else answers.setdefault(text, wanted(text))
            for text in texts.tolist()
        ],
        dtype=np.bool_,
    )
