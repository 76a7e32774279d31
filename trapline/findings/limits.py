"""Bag limits and quotas that are reached: once, about the licence, the zone or the team's take."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from trapline.binding.matters import VersionRules, version_at
from trapline.binding.profiles import speaks_of
from trapline.binding.world import World
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
    """So many animals of a species, on a local date, against a licence and in a zone."""

    licence: UUID
    licence_kind: str
    zone: str
    species: UUID
    code: str
    on: date
    tz: str
    count: int


@dataclass(frozen=True)
class Reached:
    """A limit that is reached. Exactly one of licence, zone and species is the subject."""

    rule: int
    licence: UUID | None
    zone: str | None
    species: UUID | None
    count: int


def refresh_limits(team: UUID, world: World) -> None:
    """Open and close what is found about limits. Two statements, three where a limit is known."""
    rules = rules_in(world, version_at(team, world))
    if rules is None:
        return
    reached = list(_reached(rules, _taken(team, world), world)) if rules.of("limit") else []
    found = [
        About(
            CODE, Severity.STOP, rules.codes[one.rule], _numbers(rules, one), rules.ids[one.rule],
            licence=one.licence, zone=one.zone, species=one.species,
        )
        for one in reached
    ]  # fmt: skip
    bring_in_line(team, [CODE], found, world.moment)


def _taken(team: UUID, world: World) -> list[Taken]:
    values = {"team": team, "moment": world.moment, "since": world.moment - YEAR}
    return [Taken(*row) for row in sql.rows("trapline.findings", "taken", values)]


def _numbers(rules: VersionRules, one: Reached) -> dict[str, Any]:
    params = rules.params[one.rule]
    return {
        "count": one.count,
        "limit": params["count"],
        "within": params.get("within", "season"),
        "species": list(rules.species_codes[one.rule]),
    }


def _reached(rules: VersionRules, taken: list[Taken], world: World) -> Iterator[Reached]:
    for number in rules.of("limit"):
        if not _in_force(rules, number, world.moment):
            continue
        counts: dict[Any, int] = defaultdict(int)
        of: dict[Any, UUID] = {}
        zones = rules.zone_codes[number]
        for one in taken:
            if not speaks_of(rules, number, one.code) or (zones and one.zone not in zones):
                continue
            if rules.licence_kinds[number] and one.licence_kind not in rules.licence_kinds[number]:
                continue
            if one.on >= _since(rules, number, one, world.moment):
                key = _subject(rules.forms[number], one)
                counts[key] += one.count
                of.setdefault(key, one.species)
        for key, count in counts.items():
            if key != "" and count >= rules.params[number]["count"]:
                yield _as_reached(rules.forms[number], number, key, of[key], count)


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


def _in_force(rules: VersionRules, number: int, moment: datetime) -> bool:
    since, until = rules.holds_from[number], rules.holds_until[number]
    return (since is None or since <= moment) and (until is None or moment < until)
