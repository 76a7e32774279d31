"""Which check rule binds each of many sets, and when it is due: one statement, then arrays."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from trapline.binding.moving import NO_GRANTS, before_hours, grants_of
from trapline.binding.rules import CheckRules, check_rules
from trapline.binding.sets import Sets
from trapline.binding.visits import airs_of, basis_in_window, signals_of
from trapline.binding.world import World
from trapline.calc.deadlines import NEVER_US, Grants, due_many, strictest_many
from trapline.ground import sql

Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Pairs:
    """One row for each set and rule that applies to it, with the due moment that rule gives."""

    set_no: Ints
    rule_no: Ints
    due_us: Ints
    basis_us: Ints


@dataclass(frozen=True)
class Bound:
    """Per set: due instant (NEVER_US: nothing binds it to a time) and the number of the rule.

    `granted`: an extension moved it. `hours_no`: the rule of hours without tending before which it
    was moved (-1: none).
    """

    sets: Sets
    rules: CheckRules | None
    pairs: Pairs
    due_us: Ints
    rule_no: Ints
    granted: NDArray[np.bool_]
    hours_no: Ints


@dataclass(frozen=True)
class Applying:
    """Which rules apply to some sets: rows of set number and rule number; officers' extensions."""

    sets: Sets
    rules: CheckRules | None
    set_no: Ints
    rule_no: Ints
    grants: Grants


def bind(team: UUID, set_ids: Sequence[UUID], world: World) -> Bound:
    """The binding check rule and due moment of each active set among `set_ids`.

    One statement for all sets; one more the first time a version is seen, and one each where a
    rule has a window that the last visit missed, asks for temperatures or for signals.
    """
    return choose(applying(team, set_ids, world), world)


def applying(team: UUID, set_ids: Sequence[UUID], world: World) -> Applying:
    """Which check rules apply to each active set among `set_ids`. One statement."""
    rows = rows_of(team, set_ids, world)
    sets, rule_lists, version = columns_of(team, rows)
    if version is None:
        none = np.zeros(0, dtype=np.int64)
        return Applying(sets, None, none, none, NO_GRANTS)
    rules = check_rules(version)
    grants = grants_of(rules, [row[11] for row in rows], [row[12] for row in rows])
    return Applying(sets, rules, *_pairs(sets, rules, rule_lists, world), grants)


def rows_of(team: UUID, set_ids: Sequence[UUID], world: World) -> list[tuple[Any, ...]]:
    """What sets.sql says of the active sets among `set_ids`. One statement."""
    values = {
        "team": team, "sets": list(set_ids), "moment": world.moment, "version": world.version,
    }  # fmt: skip
    return sql.rows("trapline.binding", "sets", values)


def choose(found: Applying, world: World, *, visit_us: int | None = None) -> Bound:
    """The due moment each applying rule gives, and the strictest.

    visit_us: a visit that is newer than the one read, for an act that has just made it.
    """
    sets, rules, set_no, rule_no = found.sets, found.rules, found.set_no, found.rule_no
    if visit_us is not None:
        newer = sets.visit_us < visit_us
        sets = replace(
            sets,
            visit_us=np.maximum(sets.visit_us, visit_us),
            by_placing=sets.by_placing & ~newer,
        )
    if rules is None:
        nothing = Pairs(*(np.zeros(0, dtype=np.int64) for _ in range(4)))
        count = len(sets.ids)
        nobody = np.full(count, -1, dtype=np.int64)
        never, no = np.full(count, NEVER_US), np.zeros(count, dtype=np.bool_)
        return Bound(sets, None, nothing, never, nobody, no, nobody)
    due_us, basis_us = _due(sets, rules, set_no, rule_no, world)
    pairs = Pairs(set_no, rule_no, due_us, basis_us)
    keep = not_replaced(pairs, rules)
    asks = keep & ~rules.hours[rule_no]
    chosen = strictest_many(
        set_no[asks], rules.authority[rule_no[asks]], rule_no[asks], due_us[asks], len(sets.ids),
        grants=found.grants,
    )  # fmt: skip
    closed = keep & rules.hours[rule_no]
    due, by = before_hours(sets, rules, set_no[closed], rule_no[closed], chosen.due_us)
    return Bound(sets, rules, pairs, due, chosen.rule, chosen.granted, by)


def bound_after(found: Applying, world: World, visit_us: int) -> Bound:
    """What binds the sets counted from this visit, also when a later one is known."""
    count = len(found.sets.ids)
    sets = replace(
        found.sets,
        visit_us=np.full(count, visit_us, dtype=np.int64),
        by_placing=np.zeros(count, dtype=np.bool_),
    )
    return choose(replace(found, sets=sets), world)


def not_replaced(pairs: Pairs, rules: CheckRules) -> NDArray[np.bool_]:
    """Which rows stay: a rule falls away where another that applies stands instead of it."""
    if not len(rules.replaces) or not len(pairs.set_no):
        return np.ones(len(pairs.set_no), dtype=np.bool_)
    width = len(rules.ids)
    keys = pairs.set_no * width + pairs.rule_no
    gone = np.concatenate(
        [pairs.set_no[pairs.rule_no == rule] * width + wider for rule, wider in rules.replaces]
    )
    return ~np.isin(keys, gone)


def columns_of(
    team: UUID, rows: list[tuple[Any, ...]]
) -> tuple[Sets, tuple[list[int], ...], UUID | None]:
    """The rows as columns, the numbers of the rules that apply, and the version they are of."""
    if not rows:
        empty = np.zeros(0, dtype=np.int64)
        none = np.zeros(0, dtype=np.float64)
        no = np.zeros(0, dtype=np.bool_)
        return Sets(team, (), empty, no, empty, none, none, np.zeros(0, object), (), 0), (), None
    columns: list[tuple[Any, ...]] = list(zip(*rows, strict=True))
    sets = Sets(
        team=team,
        ids=columns[0],
        visit_us=np.array(columns[1], dtype=np.int64),
        by_placing=np.array(columns[2], dtype=np.bool_),
        placed_us=np.array(columns[3], dtype=np.int64),
        lat=np.array(columns[4], dtype=np.float64),
        lon=np.array(columns[5], dtype=np.float64),
        tz=np.array(columns[6], dtype=object),
        responsible=columns[7],
        stamp=columns[10][0],
        version=columns[9][0],
    )
    return sets, columns[8], columns[9][0]


def _pairs(
    sets: Sets, rules: CheckRules, lists: tuple[list[int], ...], world: World
) -> tuple[Ints, Ints]:
    """Pairs of set and rule, those left out whose dates do not hold on the set's local date."""
    lengths = np.fromiter(map(len, lists), dtype=np.int64, count=len(lists))
    set_no = np.repeat(np.arange(len(lists)), lengths)
    flat = [number for numbers in lists for number in numbers]
    rule_no = np.array(flat, dtype=np.int64)
    day = np.zeros(len(lists), dtype=np.int64)
    for name in set(sets.tz.tolist()):
        local = world.moment.astimezone(ZoneInfo(name))
        day[sets.tz == name] = local.month * 100 + local.day
    first, last, on = rules.from_day[rule_no], rules.until_day[rule_no], day[set_no]
    holds = np.where(first <= last, (first <= on) & (on <= last), (on >= first) | (on <= last))
    return set_no[holds], rule_no[holds]


def _due(
    sets: Sets, rules: CheckRules, set_no: Ints, rule_no: Ints, world: World
) -> tuple[Ints, Ints]:
    due = np.full(len(set_no), NEVER_US, dtype=np.int64)
    basis = sets.visit_us[set_no].copy()
    zones = sets.tz[set_no]
    for number, form in enumerate(rules.forms):
        for name in set(zones[rule_no == number].tolist()):
            rows = np.flatnonzero((rule_no == number) & (zones == name))
            of = set_no[rows]
            zone = ZoneInfo(name)
            if form.between is not None:
                basis[rows] = basis_in_window(sets, form, of, zone, world)
            due[rows] = due_many(
                form, basis[rows], zone, sets.lat[of], sets.lon[of],
                readings=airs_of(sets, form, of, world),
                signals=signals_of(sets, form, of, world),
            )  # fmt: skip
    return due, basis
