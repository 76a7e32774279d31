"""Bag limits and quotas that are reached: once, about the licence, the zone or the team's take."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from trapline.binding.matters import VersionRules
from trapline.binding.profiles import Profile, alike, in_dates, on_days, speaks_of
from trapline.binding.world import World, version_at
from trapline.calc.clock import to_datetime, to_us
from trapline.calc.seasons import spans
from trapline.findings.about import About, bring_in_line
from trapline.findings.asked import rules_in
from trapline.findings.models import Severity
from trapline.ground import sql

CODE = "limit_reached"
YEAR = timedelta(days=366)


@dataclass(frozen=True)
class Taken:
    """So many animals of a species, on a local date, against a licence and in a zone.

    device_class, action, placement: of the set that held them, as it stood then.
    """

    licence: UUID
    licence_kind: str
    zone: str
    species: UUID
    code: str
    device_class: str
    action: str
    placement: str
    on: date
    tz: str
    count: int

    @property
    def profile(self) -> Profile:
        zones = frozenset((self.zone,) if self.zone else ())
        return Profile(
            self.device_class, self.action, self.placement, zones, self.licence_kind,
            (self.code,), self.tz,
        )  # fmt: skip


@dataclass(frozen=True)
class Reached:
    """A limit that is reached. Exactly one of licence, zone and species is the subject."""

    rule: int
    licence: UUID | None
    zone: str | None
    species: UUID | None
    count: int


@dataclass(frozen=True)
class Limits:
    """The limits that are reached in a world, and the rules that set them."""

    rules: VersionRules | None
    reached: tuple[Reached, ...]

    def numbers(self, one: Reached) -> dict[str, Any]:
        """The figures of one: taken, allowed, within what, of which species."""
        assert self.rules is not None
        params = self.rules.params[one.rule]
        return {
            "count": one.count,
            "limit": params["count"],
            "within": params.get("within", "season"),
            "species": list(self.rules.species_codes[one.rule]),
        }

    def touch(self, one: Reached, profile: Profile, licence: UUID) -> bool:
        """Whether a set like this, under this licence, would take one more against the limit."""
        assert self.rules is not None
        return (
            alike(self.rules, one.rule, profile)
            and any(speaks_of(self.rules, one.rule, code) for code in profile.targets)
            and one.licence in (None, licence)
            and (one.zone is None or one.zone in profile.zones)
        )


def limits_reached(team: UUID, world: World) -> Limits:
    """The limits reached in a world. One statement where it has a limit, one more for its version.

    Writes nothing.
    """
    version = None if world.draft is not None else version_at(team, world)
    rules = rules_in(world, version)
    if rules is None or not rules.of("limit"):
        return Limits(rules, ())
    return Limits(rules, tuple(_reached(rules, _taken(team, world), world)))


def refresh_limits(team: UUID, world: World) -> None:
    """Open and close what is found about limits. Two statements, three where a limit is known."""
    limits = limits_reached(team, world)
    rules, reached = limits.rules, limits.reached
    if rules is None:
        return
    found = [
        About(
            CODE, Severity.STOP, rules.codes[one.rule], limits.numbers(one), rules.ids[one.rule],
            licence=one.licence, zone=one.zone, species=one.species,
        )
        for one in reached
    ]  # fmt: skip
    bring_in_line(team, [CODE], found, world.moment)


def _taken(team: UUID, world: World) -> list[Taken]:
    values = {"team": team, "moment": world.moment, "since": world.moment - YEAR}
    return [Taken(*row) for row in sql.rows("trapline.findings", "taken", values)]


def _reached(rules: VersionRules, taken: list[Taken], world: World) -> Iterator[Reached]:
    """An animal counts against each limit about it, but not against one that another replaces."""
    known = [number for number in rules.of("limit") if in_dates(rules, number, world.moment)]
    counts: dict[tuple[int, Any], int] = defaultdict(int)
    of: dict[tuple[int, Any], UUID] = {}
    for one in taken:
        profile, day = one.profile, one.on.month * 100 + one.on.day
        about = {
            number
            for number in known
            if speaks_of(rules, number, one.code)
            and alike(rules, number, profile)
            and on_days(rules, number, day)
        }
        gone = {wider for rule, wider in rules.replaces if rule in about}
        for number in about - gone:
            if one.on >= _since(rules, number, one, world.moment):
                key = (number, _subject(rules.forms[number], one))
                counts[key] += one.count
                of.setdefault(key, one.species)
    for (number, key), count in sorted(counts.items(), key=lambda found: found[0][0]):
        if key != "" and count >= rules.params[number]["count"]:
            yield _as_reached(rules.forms[number], number, key, of[number, key], count)


def _subject(form: str, one: Taken) -> Any:
    return {"per_person": one.licence, "per_zone": one.zone, "per_team": "team"}[form]


def _as_reached(form: str, number: int, key: Any, species: UUID, count: int) -> Reached:
    return Reached(
        number,
        key if form == "per_person" else None,
        key if form == "per_zone" else None,
        species if form == "per_team" else None,
        count,
    )


def _since(rules: VersionRules, number: int, one: Taken, moment: datetime) -> date:
    """From which local date the limit counts: today, or the first day of the season that is on.

    Between seasons: of the one that ended last. Without a season: 366 days back.
    """
    zone = ZoneInfo(one.tz)
    if rules.params[number].get("within") == "day":
        return moment.astimezone(zone).date()
    at_us = to_us(moment)
    begun = [
        span.opens_us
        for season in rules.of("season")
        if speaks_of(rules, season, one.code) and rules.authority[season] == rules.authority[number]
        for span in spans(rules.forms[season], rules.params[season], zone, at_us)
        if span.opens_us <= at_us
    ]
    if not begun:
        return (moment - YEAR).astimezone(zone).date()
    return to_datetime(max(begun)).astimezone(zone).date()
