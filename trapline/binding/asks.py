"""What the rules ask beside visits: of an animal caught, of a standing set, of a licence."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID
from zoneinfo import ZoneInfo

import numpy as np

from trapline.binding.closes import close_of
from trapline.binding.matters import VersionRules
from trapline.binding.profiles import Profile, fits, speaks_of
from trapline.calc.clock import DAY_US, HOUR_US, NEVER_US, to_datetime, to_us, zone_table

REPORT, SEAL, SAMPLE, PULL, FILE = "report", "seal", "sample", "pull", "file"
OF_CATCH = (REPORT, SEAL, SAMPLE)
# A day of filing this soon after a licence begins belongs to the season before it.
FIRST_DAYS = 90
_EPOCH = date(1970, 1, 1)


@dataclass(frozen=True)
class Asked:
    """A thing asked of a subject by a rule. `asked`: the rule's code; empty for a pull."""

    kind: str
    subject: UUID
    asked: str
    rule: UUID
    due_at: datetime
    basis_at: datetime
    who: UUID | None
    line: UUID | None


@dataclass(frozen=True)
class Caught:
    """An animal caught: what the rules ask by.

    kept: neither released nor handed over. marked: what its number was given for already.
    """

    id: UUID
    at: datetime
    profile: Profile
    species: str
    is_target: bool
    kept: bool
    marked: frozenset[str]
    line: UUID
    who: UUID


def of_catch(rules: VersionRules, catch: Caught) -> list[Asked]:
    """What is asked of an animal, by the rules as they hold when it was caught."""
    numbers = [
        number
        for number in rules.of(*OF_CATCH)
        if fits(rules, number, catch.profile, catch.at)
        and speaks_of(rules, number, catch.species)
        and _is_meant(rules, number, catch)
    ]
    gone = {wider for rule, wider in rules.replaces if rule in numbers}
    return [
        Asked(
            rules.matters[number], catch.id, rules.codes[number], rules.ids[number],
            to_datetime(_due_us(rules, number, catch)), catch.at, catch.who, catch.line,
        )
        for number in numbers
        if number not in gone
    ]  # fmt: skip


def _is_meant(rules: VersionRules, number: int, catch: Caught) -> bool:
    if rules.matters[number] == SEAL:
        return catch.kept and rules.params[number]["what"] not in catch.marked
    if rules.matters[number] == SAMPLE:
        return catch.kept
    of = rules.params[number].get("of")
    return rules.forms[number] == "within_hours" and (of == "any_catch" or not catch.is_target)


def _due_us(rules: VersionRules, number: int, catch: Caught) -> int:
    params, at_us = rules.params[number], to_us(catch.at)
    if rules.matters[number] == REPORT:
        return at_us + int(params["hours"] * HOUR_US)
    from_us = at_us
    if rules.forms[number] == "of_close":
        # Out of season there is no close to wait for: the days count from the catch.
        close, _rule = close_of(rules, catch.profile, catch.species, catch.at)
        from_us = at_us if close == NEVER_US else close - 1
    return end_of_day(from_us, int(params["days"]), catch.profile.tz)


def end_of_day(from_us: int, days: int, tz: str) -> int:
    """The end of the local date so many days after an instant's."""
    table = zone_table(ZoneInfo(tz), from_us, from_us + (days + 1) * DAY_US)
    day = table.day(np.array([from_us], dtype=np.int64)) + days
    return int(table.end_of(day)[0])


@dataclass(frozen=True)
class Standing:
    """A set in business: what its season is asked by."""

    id: UUID
    placed_at: datetime
    profile: Profile
    line: UUID
    who: UUID


def of_set(rules: VersionRules, one: Standing, moment: datetime) -> list[Asked]:
    """The pull before the first close of a season that the set is made for, if any closes."""
    placed_us = to_us(one.placed_at)
    close, rule = min(
        (
            close_of(rules, one.profile, species, moment, since_us=placed_us)
            for species in one.profile.targets
        ),
        default=(NEVER_US, -1),
    )
    if close == NEVER_US:
        return []
    due = to_datetime(close)
    return [Asked(PULL, one.id, "", rules.ids[rule], due, one.placed_at, one.who, one.line)]


@dataclass(frozen=True)
class Held:
    """A licence and its holder."""

    id: UUID
    kind: str
    valid_from: date
    valid_until: date
    holder: UUID


def of_licence(rules: VersionRules, one: Held, tz: str, moment: datetime) -> list[Asked]:
    """The reports that are to be filed for a licence, by the end of their day.

    The day: the last such day of the year within the licence, its first 90 days left out; without
    one the first after it ends.
    """
    asked = []
    for number in rules.of(REPORT):
        kinds = rules.licence_kinds[number]
        if rules.forms[number] != "by_date" or (kinds and one.kind not in kinds):
            continue
        day = _filing_day(rules.params[number]["on"], one)
        due = to_datetime(end_of_day(((day - _EPOCH).days * 24 + 12) * HOUR_US, 0, tz))
        asked.append(
            Asked(FILE, one.id, rules.codes[number], rules.ids[number], due, moment, one.holder,
                  None)
        )  # fmt: skip
    return asked


def _filing_day(on: str, one: Held) -> date:
    days = [_day(on, year) for year in range(one.valid_from.year, one.valid_until.year + 2)]
    within = [
        day for day in days if day <= one.valid_until and (day - one.valid_from).days >= FIRST_DAYS
    ]
    return within[-1] if within else next(day for day in days if day > one.valid_until)


def _day(on: str, year: int) -> date:
    month, day = int(on[:2]), int(on[3:])
    if (month, day) == (2, 29):  # the last day of February
        return date.fromordinal(date(year, 3, 1).toordinal() - 1)
    return date(year, month, day)
