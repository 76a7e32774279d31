"""Findings of many sets: one statement for the facts, then every function over their columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

import numpy as np

from trapline.binding.draft import due_by_draft
from trapline.binding.profiles import Profile
from trapline.binding.world import World
from trapline.calc.clock import NEVER_US, to_us
from trapline.findings import kinds  # noqa: F401 - enters the findings in CODES
from trapline.findings.asked import NO_RULE, rules_in
from trapline.findings.facts import Facts, Ints, facts
from trapline.findings.fit import fit_of
from trapline.findings.looking import CODES, Found, Looking


@dataclass(frozen=True)
class One:
    """One finding on one set. `numbers` are as stored: figures by name, instants as *_us."""

    set: UUID
    code: str
    discriminator: str
    severity: str
    numbers: dict[str, Any]
    rule: UUID | None


@dataclass(frozen=True)
class Findings:
    """What is wrong with some sets in a world, and per active set when that turns by itself."""

    look: Looking
    found: tuple[tuple[str, Found], ...]  # by code
    next_us: Ints

    @property
    def facts(self) -> Facts:
        return self.look.facts

    def ones(self) -> list[One]:
        """Each finding by itself."""
        return [one for code, found in self.found for one in self._ones(code, found)]

    def _ones(self, code: str, found: Found) -> list[One]:
        severity = CODES[code].severity.value
        rule_ids = self.look.rules.ids if self.look.rules else ()
        names = list(found.numbers)
        columns = [_plain(found.numbers[name], len(found.rows)) for name in names]
        figures = zip(*columns, strict=True) if columns else iter([()] * len(found.rows))
        duty_rules = self.facts.due_rule if code == "overdue" else None
        return [
            One(
                self.facts.ids[row],
                code,
                found.discriminator,
                severity,
                {name: value for name, value in zip(names, values, strict=True)
                 if value is not None},
                duty_rules[row] if duty_rules is not None
                else rule_ids[rule] if rule != NO_RULE else None,
            )
            for row, rule, values in zip(
                found.rows.tolist(), found.rule.tolist(), figures, strict=True
            )
        ]  # fmt: skip


def find(team: UUID, sets: Sequence[UUID], world: World) -> Findings:
    """What is wrong with each active set among `sets` in this world. One statement.

    One more the first time a rulebook version or the team's fit table is seen; two more where the
    world has a draft, by which visits fall due anew. Writes nothing.
    """
    read = facts(team, sets, world)
    if world.draft is not None:
        read = _due_by_draft(team, read, world)
    rules, fit = rules_in(world, read.version), fit_of(team, read.stamp)
    look = Looking.at(read, world, rules, fit)
    if not len(read):
        return Findings(look, (), np.zeros(0, dtype=np.int64))
    found = tuple(
        (code, one) for code, told in CODES.items() for one in told.judge(look) if len(one.rows)
    )
    return Findings(look, found, _next_us(look))


def _due_by_draft(team: UUID, read: Facts, world: World) -> Facts:
    profiles = dict(zip(read.ids.tolist(), map(Profile.read, read.profile.tolist()), strict=True))
    due = due_by_draft(team, profiles, world)
    due_us = np.array([due[one][0] for one in read.ids.tolist()], dtype=np.int64)
    rule = np.array([due[one][1] for one in read.ids.tolist()], dtype=np.object_)
    return replace(read, due_us=due_us, due_rule=rule)


def _next_us(look: Looking) -> Ints:
    """When a set's findings can next turn by themselves: its check falls due, a season turns,

    a rule begins or ceases to hold, the local date changes.
    """
    moment = look.moment_us

    def turns(answer: Any) -> int:
        ahead = [
            at
            for one in answer.seasons
            for at in (one.standing.closes_us, one.standing.opens_us)
            if at > moment
        ]
        return min(ahead, default=NEVER_US)

    seasons = look.each(lambda _, answer: turns(answer), np.int64)
    due = np.where(look.facts.due_us > moment, look.facts.due_us, NEVER_US)
    coming = (seasons, due, look.midnight_us, look.facts.notice_turns_us)
    soonest: Ints = np.minimum(np.minimum.reduce(coming), _rules_turn(look, moment))
    return soonest


def _rules_turn(look: Looking, moment: int) -> int:
    if look.rules is None:
        return NEVER_US
    edges = (*look.rules.holds_from, *look.rules.holds_until)
    return min((us for at in edges if at is not None and (us := to_us(at)) > moment),
               default=NEVER_US)  # fmt: skip


def _plain(value: Any, count: int) -> list[Any]:
    """A column as plain values: five decimals, None for what is not known or never comes."""
    if not isinstance(value, np.ndarray):
        return [value] * count
    if value.dtype == np.float64:
        rounded = np.round(value, 5) + 0.0
        return [None if v != v or v in (np.inf, -np.inf) else v for v in rounded.tolist()]  # noqa: PLR0124
    return [None if abs(v) == NEVER_US or v == -1 else v for v in value.tolist()]
