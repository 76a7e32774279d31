"""What if: the findings of an altered world beside those of the world as it is. Nothing is written.

The same functions answer as judge the sets every day (findings.find); only what they are told of
snow, water, people, land, seasons or rules is another.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from datetime import datetime
from typing import NamedTuple
from uuid import UUID
from zoneinfo import ZoneInfo

import numpy as np

from trapline.binding.matters import VersionRules, draft_rules
from trapline.binding.profiles import Profile
from trapline.binding.world import World
from trapline.calc.clock import DAY_US, NEVER_US, to_datetime, to_us, zone_table
from trapline.findings.find import Findings, One, find
from trapline.findings.kinds.season import target_open
from trapline.findings.limits import CODE as LIMIT
from trapline.findings.limits import Limits, Reached, limits_reached
from trapline.findings.models import RANK, Severity
from trapline.people.selectors import members_in_office
from trapline.plans.mending import NO_WALK, Deed, How, Turn, by_how_much, least, turn
from trapline.rulebook.schema import Document
from trapline.standing.models import SetState

MOST_ASKED = 12  # people who are tried as cover, those first who are on the lines already
NOT_FOR_THEM = (
    "nobody_to_tend", "permission_not_theirs", "no_sign_off", "agent_not_allowed",
    "agent_without_paper",
)  # fmt: skip


@dataclass(frozen=True)
class Supposed:
    """What is taken to be so from `moment` on; what is left out is as the record has it.

    closes: codes of species whose season closes. snow_m: fresh snow. water_m: how much higher the
    water stands. away: members who can tend nothing. lapsed: permissions. draft: a rulebook.
    """

    moment: datetime
    closes: frozenset[str] = frozenset()
    snow_m: float = 0.0
    water_m: float = 0.0
    away: frozenset[UUID] = frozenset()
    lapsed: frozenset[UUID] = frozenset()
    draft: Document | None = None

    @property
    def nothing(self) -> bool:
        """Whether it says nothing that is not so anyway."""
        said = (self.closes, self.snow_m, self.water_m, self.away, self.lapsed, self.draft)
        return not any(said)

    def world(self) -> World:
        """The world in which it is so. A draft comes into force at its own moment, if later."""
        moment, draft = self.moment, None
        if self.draft is not None:
            moment, draft = max(moment, self.draft.in_force_from), draft_rules(self.draft)
        return World(
            moment, draft=draft, snow_m=self.snow_m, water_m=self.water_m, away=self.away,
            lapsed=self.lapsed, closed=self.closes,
        )  # fmt: skip


class Place(NamedTuple):
    """A set that stands, as others name it."""

    set: UUID
    label: str
    line: UUID
    line_name: str
    tz: str
    responsible: UUID
    licence: UUID


@dataclass(frozen=True)
class SetTurns:
    """A set that turns: what comes to be wrong, the least that mends it, and by when.

    amount_m: how far to rehang or deepen. due_at: when its check falls due in that world.
    """

    place: Place
    turns: tuple[Turn, ...]
    deeds: tuple[Deed, ...]
    amount_m: float | None
    due_at: datetime | None

    @property
    def hows(self) -> tuple[How, ...]:
        there = {one.how for one in self.turns}
        return tuple(how for how in How if how in there)


class Sooner(NamedTuple):
    """A set whose check falls due sooner than it does now. was: None for never."""

    place: Place
    was: datetime | None
    due_at: datetime


@dataclass(frozen=True)
class LineWork:
    """What is to be done on one line: sets by deed, and whether anybody has to walk there."""

    line: UUID
    name: str
    deeds: tuple[tuple[Deed, int], ...]
    walk: bool
    first_due_at: datetime | None


class Cover(NamedTuple):
    """Somebody in office who could look after these sets meanwhile."""

    member: UUID
    name: str
    sets: tuple[UUID, ...]


@dataclass(frozen=True)
class Answer:
    """Everything that turns, worst first; `mended` findings that such a world would close."""

    moment: datetime
    looked: int
    sets: tuple[SetTurns, ...]
    work: tuple[LineWork, ...]
    sooner: tuple[Sooner, ...]
    covers: tuple[Cover, ...]
    alone: tuple[UUID, ...]  # uncovered, and nobody who was asked could take them
    mended: int
    rules: VersionRules | None


def what_if(team: UUID, supposed: Supposed) -> Answer:
    """Which sets turn, when, and the least work that mends it. Writes nothing.

    Three statements: the sets, and the facts of each of the two worlds. Two more for a draft, two
    where it or the version in force has limits; for people who are away two, and one for each of
    at most MOST_ASKED who could cover.
    """
    places = _places(team)
    world = supposed.world()
    ids = list(places)
    was, then = find(team, ids, World(world.moment)), find(team, ids, world)
    before = {(one.set, one.code, one.discriminator) for one in was.ones()}
    ones = then.ones()
    after = {(one.set, one.code, one.discriminator) for one in ones}
    open_to = dict(zip(then.facts.ids.tolist(), target_open(then.look).tolist(), strict=True))
    turns: dict[UUID, list[Turn]] = {}
    for one in ones:
        if (one.set, one.code, one.discriminator) not in before:
            turns.setdefault(one.set, []).append(turn(one, target_open=open_to[one.set]))
    limits = _limits_turn(team, places, world, then)
    for key, found in limits.turns.items():
        turns.setdefault(key, []).extend(found)
    due = _due(then)
    rows = [_row(places[key], found, due[key]) for key, found in turns.items()]
    rows.sort(key=_gravest)
    uncovered = [row.place for row in rows if How.UNCOVERED in row.hows]
    covers, alone = _covers(team, uncovered, places, world) if uncovered else ((), ())
    return Answer(
        moment=world.moment,
        looked=len(ids),
        sets=tuple(rows),
        work=_work(rows),
        sooner=_sooner(places, _due(was), due) if world.draft is not None else (),
        covers=covers,
        alone=alone,
        mended=len(before - after) + limits.mended,
        rules=then.look.rules,
    )


class LimitsTurn(NamedTuple):
    """Sets that limits of a draft make unlawful, and how many limits it no longer reaches."""

    turns: dict[UUID, list[Turn]]
    mended: int


def _limits_turn(team: UUID, places: dict[UUID, Place], world: World, then: Findings) -> LimitsTurn:
    """What a draft's limits turn: they alone differ, since no supposed world takes an animal."""
    if world.draft is None:
        return LimitsTurn({}, 0)
    was, now = limits_reached(team, World(world.moment)), limits_reached(team, world)
    before = {_limit_key(was, one) for one in was.reached}
    new = [one for one in now.reached if _limit_key(now, one) not in before]
    profiles = {
        key: Profile.read(text)
        for key, text in zip(then.facts.ids.tolist(), then.facts.profile.tolist(), strict=True)
    }
    turns: dict[UUID, list[Turn]] = {}
    for one in new:
        assert now.rules is not None
        rule, limited = now.rules.ids[one.rule], now.rules.species_codes[one.rule]
        for key, profile in profiles.items():
            if now.touch(one, profile, places[key].licence):
                told = One(key, LIMIT, now.rules.codes[one.rule], Severity.STOP.value,
                           now.numbers(one), rule)  # fmt: skip
                others = bool(limited) and bool(set(profile.targets) - set(limited))
                turns.setdefault(key, []).append(turn(told, target_open=others))
    gone = before - {_limit_key(now, one) for one in now.reached}
    return LimitsTurn(turns, len(gone))


def _limit_key(limits: Limits, one: Reached) -> tuple[str, UUID | str | None]:
    assert limits.rules is not None
    return limits.rules.codes[one.rule], one.licence or one.zone or one.species


def tonight(moment: datetime, tz: str) -> datetime:
    """The end of the local date."""
    us = np.array([to_us(moment)], dtype=np.int64)
    table = zone_table(ZoneInfo(tz), int(us[0]), int(us[0]) + 2 * DAY_US)
    return to_datetime(int(table.end_of(table.day(us))[0]))


def _places(team: UUID) -> dict[UUID, Place]:
    rows = SetState.objects.filter(team_id=team, active=True).values_list(
        "set_id",
        "set__label",
        "line_id",
        "line__name",
        "line__tz",
        "responsible_id",
        "set__licence_id",
    )
    return {row[0]: Place(*row) for row in rows.order_by("line__name", "set__label", "set_id")}


def _due(found: Findings) -> dict[UUID, datetime | None]:
    facts = found.facts
    return {
        one: None if us == NEVER_US else to_datetime(us)
        for one, us in zip(facts.ids.tolist(), facts.due_us.tolist(), strict=True)
    }


def _row(place: Place, found: list[Turn], due: datetime | None) -> SetTurns:
    found.sort(key=lambda one: (RANK[Severity(one.one.severity)], one.one.code))
    return SetTurns(place, tuple(found), least(found), by_how_much(found), due)


def _gravest(row: SetTurns) -> tuple[int, str, str]:
    rank = min(RANK[Severity(one.one.severity)] for one in row.turns)
    return rank, row.place.line_name, row.place.label


def _work(rows: list[SetTurns]) -> tuple[LineWork, ...]:
    by_line: dict[UUID, list[SetTurns]] = {}
    for row in rows:
        by_line.setdefault(row.place.line, []).append(row)
    work = []
    for line, there in by_line.items():
        counts = Counter(deed for row in there for deed in row.deeds)
        dues = [row.due_at for row in there if row.due_at is not None]
        work.append(
            LineWork(
                line, there[0].place.line_name,
                tuple((deed, counts[deed]) for deed in Deed if deed in counts),
                any(deed not in NO_WALK for deed in counts), min(dues, default=None),
            )
        )  # fmt: skip
    return tuple(sorted(work, key=lambda one: one.name))


def _sooner(
    places: dict[UUID, Place], was: dict[UUID, datetime | None], now: dict[UUID, datetime | None]
) -> tuple[Sooner, ...]:
    found = []
    for key, due in now.items():
        before = was[key]
        if due is not None and (before is None or due < before):
            found.append(Sooner(places[key], before, due))
    return tuple(sorted(found, key=lambda one: (one.due_at, one.place.label)))


def _covers(
    team: UUID, uncovered: list[Place], places: dict[UUID, Place], world: World
) -> tuple[tuple[Cover, ...], tuple[UUID, ...]]:
    """The fewest people, found greedily, who can look after what is uncovered, and what is left.

    Whoever is tried is judged by the same findings: signed off for it, with leave to be there, and
    free to tend it under the licence that it bears.
    """
    lines = {one.line for one in uncovered}
    near = Counter(one.responsible for one in places.values() if one.line in lines)
    able = [one for one in members_in_office(team) if one.id not in world.away]
    able.sort(key=lambda one: (-near[one.id], one.name))
    left = {one.set for one in uncovered}
    can = {}
    for one in able[:MOST_ASKED]:
        tried = find(team, sorted(left), replace(world, covers=one.id))
        barred = {found.set for found in tried.ones() if _bars(found.code, found.discriminator)}
        can[one] = left - barred
    covers = []
    while left and (best := max(can, key=lambda one: len(can[one] & left), default=None)):
        theirs = can[best] & left
        if not theirs:
            break
        covers.append(Cover(best.id, best.name, tuple(sorted(theirs))))
        left -= theirs
    return tuple(covers), tuple(sorted(left))


def _bars(code: str, discriminator: str) -> bool:
    """Whether a finding is about who looks after the set. Who placed it no cover changes."""
    return code in NOT_FOR_THEM and discriminator != "placer"
