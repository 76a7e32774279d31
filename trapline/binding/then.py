"""Which rules bound a set at a moment: each rule of the version in force then, and why, or why not.

All of it as it stood then: the set's arrangement, its zones as they were drawn, the version.
"""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import numpy as np

from trapline.binding.bind import Applying, choose
from trapline.binding.matters import VersionRules, version_rules
from trapline.binding.moving import grants_of
from trapline.binding.rules import check_rules
from trapline.binding.sets import Sets
from trapline.binding.strictness import strictest
from trapline.binding.why import verdicts_of
from trapline.binding.world import World, version_at
from trapline.calc.deadlines import to_us
from trapline.calc.seasons import spans, standing
from trapline.ground import sql
from trapline.rulebook.models import Closure, Matter, Rule, Version
from trapline.rulebook.selectors import closures_in_force

VISITS = (Matter.CHECK, Matter.TENDING)


@dataclass(frozen=True)
class Stood:
    """A set at a moment. Degrees WGS 84; `targets` and `zones` are codes."""

    line: UUID
    tz: str
    lat: float
    lon: float
    placement: str
    device: UUID
    kind: str
    device_class: str
    action: str
    responsible: UUID
    responsible_name: str
    licence_kind: str
    targets: tuple[str, ...]
    zones: tuple[str, ...]
    placed_at: datetime
    last_check_at: datetime | None
    grant_authorities: list[UUID] | None
    grants_until_us: list[int] | None
    stamp: int

    @property
    def last_visit_at(self) -> datetime:
        return max(self.placed_at, self.last_check_at or self.placed_at)


@dataclass(frozen=True)
class Weighed:
    """One rule on the set.

    standing: binds (the strictest, or one that adds to others), later or exempt (a check interval
    that is not the first), moves or hours (see why.Verdict), outdone (`by` is stricter), replaced
    (`by` stands instead), open or shut (a season at that moment), or apart: it does not apply, for
    the `reasons`: device_class, action, placement, zone, species, licence_kind, days, dates.
    """

    rule: Rule
    standing: str
    by: tuple[str, ...] = ()
    reasons: tuple[str, ...] = ()
    due_at: datetime | None = None
    basis_at: datetime | None = None
    granted: bool = False

    @property
    def applies(self) -> bool:
        return self.standing not in ("apart", "replaced")


@dataclass(frozen=True)
class Bound:
    """What bound a set at a moment. `stood` is None when it did not stand then."""

    moment: datetime
    stood: Stood | None
    version: Version | None
    rules: tuple[Weighed, ...]
    closures: tuple[Closure, ...] = ()  # by notice, for what the set was made for, where it stood


def rules_that_bound(team: UUID, set_id: UUID, moment: datetime) -> Bound:
    """All rules of the version in force at a moment, weighed on the set as it stood then.

    Five statements, seven the first time a version is seen; one more each where a rule has a window
    that the last visit missed or asks for temperatures.
    """
    rows = sql.rows("trapline.binding", "then", {"team": team, "set": set_id, "moment": moment})
    world = World(moment)
    stood = _stood(rows[0]) if rows else None
    key = version_at(team, world)
    version = None if key is None else Version.objects.defer("document").get(id=key)
    if stood is None or key is None:
        return Bound(moment, stood, version, ())
    columns = version_rules(key)
    rules = {
        rule.id: rule for rule in Rule.objects.filter(version_id=key).select_related("authority")
    }
    told = _weigh(columns, stood, moment, rules)
    _visits(team, set_id, stood, key, world, told)
    _seasons(columns, stood, moment, told)
    closed = closures_in_force(moment).filter(
        species__code__in=stood.targets, zone_code__in=["", *stood.zones]
    )
    rules_told = tuple(told[number] for number in sorted(told))
    return Bound(moment, stood, version, rules_told, tuple(closed))


def _stood(row: tuple[Any, ...]) -> Stood:
    values = [*row[:12], tuple(row[12]), tuple(row[13]), *row[14:]]
    return Stood(*values)


def reasons_apart(
    rules: VersionRules, number: int, stood: Stood, moment: datetime
) -> tuple[str, ...]:
    """Why a rule does not apply to a set as it stands; empty: it applies."""
    local = moment.astimezone(ZoneInfo(stood.tz))
    day = local.month * 100 + local.day
    first, last = rules.from_day[number], rules.until_day[number]
    in_days = (
        first is None
        or last is None
        or (first <= day <= last if first <= last else day >= first or day <= last)
    )
    since, until = rules.holds_from[number], rules.holds_until[number]
    in_dates = (since is None or since <= moment) and (until is None or moment < until)

    def meets(asked: tuple[str, ...], *have: str) -> bool:
        return not asked or not set(asked).isdisjoint(have)

    looks = {
        "device_class": meets(rules.device_classes[number], stood.device_class),
        "action": meets(rules.actions[number], stood.action),
        "placement": meets(rules.placements[number], stood.placement),
        "zone": meets(rules.zone_codes[number], *stood.zones),
        "species": meets(rules.species_codes[number], *stood.targets),
        "licence_kind": meets(rules.licence_kinds[number], stood.licence_kind),
        "days": in_days,
        "dates": in_dates,
    }
    return tuple(name for name, met in looks.items() if not met)


def _weigh(
    columns: VersionRules, stood: Stood, moment: datetime, rules: dict[UUID, Rule]
) -> dict[int, Weighed]:
    apart = {
        number: reasons_apart(columns, number, stood, moment) for number in range(len(columns.ids))
    }
    applies = {number for number, reasons in apart.items() if not reasons}
    replaced: dict[int, set[int]] = {}
    for narrow, wide in columns.replaces:
        if {narrow, wide} <= applies:
            replaced.setdefault(wide, set()).add(narrow)
    outdone = strictest(columns, sorted(applies - set(replaced)))
    told = {}
    for number, key in enumerate(columns.ids):
        standing, by = "binds", set[int]()
        if number not in applies:
            standing = "apart"
        elif number in replaced:
            standing, by = "replaced", replaced[number]
        elif number in outdone:
            standing, by = "outdone", outdone[number]
        names = tuple(columns.codes[other] for other in sorted(by))
        told[number] = Weighed(rules[key], standing, names, apart[number])
    return told


def _seasons(
    columns: VersionRules, stood: Stood, moment: datetime, told: dict[int, Weighed]
) -> None:
    """Say of each season that applies whether it was open at the moment."""
    at = to_us(moment)
    for number in columns.of(Matter.SEASON):
        if told[number].standing == "binds":
            found = spans(columns.forms[number], columns.params[number], ZoneInfo(stood.tz), at)
            is_open = standing(found, at).open
            told[number] = replace(told[number], standing="open" if is_open else "shut")


def _visits(
    team: UUID, set_id: UUID, stood: Stood, version: UUID, world: World, told: dict[int, Weighed]
) -> None:
    """Weigh the rules of visits by their due moments, with the sums that duties are made by."""
    rules = check_rules(version)
    place = {rule: number for number, rule in enumerate(rules.ids)}
    numbers = {place[one.rule.id]: at for at, one in told.items() if one.rule.id in place}
    live = [n for n, at in sorted(numbers.items()) if told[at].standing != "apart"]
    sets = Sets(
        team=team,
        ids=(set_id,),
        visit_us=np.array([to_us(stood.last_visit_at)], dtype=np.int64),
        by_placing=np.array([stood.last_visit_at == stood.placed_at]),
        placed_us=np.array([to_us(stood.placed_at)], dtype=np.int64),
        lat=np.array([stood.lat]),
        lon=np.array([stood.lon]),
        tz=np.array([stood.tz], dtype=object),
        responsible=(stood.responsible,),
        stamp=stood.stamp,
    )
    grants = grants_of(rules, [stood.grant_authorities], [stood.grants_until_us])
    found = Applying(
        sets, rules, np.zeros(len(live), dtype=np.int64), np.array(live, dtype=np.int64), grants
    )
    bound = choose(found, world)
    by_id = {one.rule.id: one.rule for one in told.values()}
    for verdict in verdicts_of(bound, grants, by_id):
        at = numbers[place[verdict.rule.id]]
        was = told[at]
        told[at] = Weighed(
            was.rule, verdict.standing, was.by, (), verdict.due_at, verdict.basis_at,
            verdict.granted,
        )  # fmt: skip
