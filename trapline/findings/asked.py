"""What the rules ask of sets that are alike: the strictest bound of each matter, with its rule."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from trapline.binding.agents import Agents, agents
from trapline.binding.matters import VersionRules, version_rules
from trapline.binding.profiles import Profile, applying, fits, speaks_of
from trapline.binding.world import World
from trapline.calc.clock import to_us
from trapline.calc.seasons import Span, Standing, spans, standing

NO_RULE = -1
Params = Mapping[str, Any]
_WATCHED = {"on_call": 0, "in_sight": 1}  # in sight and voice is the stricter


@dataclass
class Bounds:
    """A lower and an upper bound, each with the number of the rule that sets it."""

    low: float = float("-inf")
    low_rule: int = NO_RULE
    high: float = float("inf")
    high_rule: int = NO_RULE

    def tighten(self, low: float | None, high: float | None, rule: int) -> None:
        """Take in another rule: of two lower bounds the greater binds, of two upper the less."""
        if low is not None and low > self.low:
            self.low, self.low_rule = low, rule
        if high is not None and high < self.high:
            self.high, self.high_rule = high, rule


@dataclass(frozen=True)
class Season:
    """How the season of a target stands where the set is, and the rule that says so."""

    species: str
    standing: Standing
    rule: int


@dataclass
class Asked:
    """Everything asked of one profile. Rules by number; a role, kind or skill by its code."""

    forbidden: int = NO_RULE
    jaw: Bounds = field(default_factory=Bounds)
    diameter: Bounds = field(default_factory=Bounds)
    heights: dict[tuple[str, str], Bounds] = field(default_factory=dict)  # by datum and edge
    parts: dict[str, int] = field(default_factory=dict)
    strengths: dict[str, Bounds] = field(default_factory=dict)
    tag: int = NO_RULE
    bait: int = NO_RULE
    setbacks: dict[str, Bounds] = field(default_factory=dict)
    skills: dict[str, int] = field(default_factory=dict)
    watched: str = ""  # how somebody without the sign-off is supervised; empty: not at all
    watched_rule: int = NO_RULE
    agents: Agents = field(default_factory=Agents)
    seasons: tuple[Season, ...] = ()


@lru_cache(maxsize=64)
def rules_of(version: UUID | None) -> VersionRules | None:
    """The rules of a version; None without one."""
    return None if version is None else version_rules(version)


def rules_in(world: World, version: UUID | None) -> VersionRules | None:
    """The rules of this world: a draft's, or those of the version that the facts came with."""
    return world.draft if world.draft is not None else rules_of(version)


def asked(rules: VersionRules | None, profile: Profile, world: World) -> Asked:
    """What is asked of sets like this at the world's moment."""
    found = Asked()
    if rules is None:
        return found
    for number in applying(rules, profile, world.moment, rules.of(*_TAKEN)):
        _take(found, rules, number)
    found.agents = agents(rules, applying(rules, profile, world.moment, rules.of("agent")))
    found.seasons = tuple(_seasons(rules, profile, world))
    return found


def _take(found: Asked, rules: VersionRules, number: int) -> None:
    _TAKEN[rules.matters[number]](found, rules.params[number], number)


def _device(found: Asked, params: Params, number: int) -> None:
    if not params:
        found.forbidden = _first(found.forbidden, number)
    found.jaw.tighten(params.get("at_least_m"), params.get("at_most_m"), number)


def _loop(found: Asked, params: Params, number: int) -> None:
    bounds = found.diameter
    if "datum" in params:
        bounds = found.heights.setdefault((params["datum"], params["edge"]), Bounds())
    bounds.tighten(params.get("from_m"), params.get("to_m"), number)


def _part(found: Asked, params: Params, number: int) -> None:
    role, low, high = params["role"], params.get("at_least_n"), params.get("at_most_n")
    if low is None and high is None:
        found.parts.setdefault(role, number)
    else:
        found.strengths.setdefault(role, Bounds()).tighten(low, high, number)


def _tag(found: Asked, _: Params, number: int) -> None:
    found.tag = _first(found.tag, number)


def _bait(found: Asked, _: Params, number: int) -> None:
    found.bait = _first(found.bait, number)


def _setback(found: Asked, params: Params, number: int) -> None:
    found.setbacks.setdefault(params["feature"], Bounds()).tighten(
        params["at_least_m"], None, number
    )


def _skill(found: Asked, params: Params, number: int) -> None:
    for skill in params["skills"]:
        found.skills.setdefault(skill, number)


def _supervision(found: Asked, params: Params, number: int) -> None:
    if _WATCHED[params["how"]] > _WATCHED.get(found.watched, -1):
        found.watched, found.watched_rule = params["how"], number


def _first(was: int, number: int) -> int:
    return number if was == NO_RULE else was


_TAKEN: dict[str, Callable[[Asked, Params, int], None]] = {
    "device": _device,
    "loop": _loop,
    "part": _part,
    "tag": _tag,
    "bait": _bait,
    "setback": _setback,
    "skill": _skill,
    "supervision": _supervision,
}


def _seasons(rules: VersionRules, profile: Profile, world: World) -> Iterable[Season]:
    """Per target that the book has a season for: how it stands for sets like this.

    Within one authority a season is open when any of its spans is; between authorities the one
    that is shut binds. A species that has seasons, but none for sets like this, is shut here.
    """
    known = rules.of("season")
    here = [number for number in known if fits(rules, number, profile, world.moment)]
    at_us, zone = to_us(world.moment), ZoneInfo(profile.tz)
    for species in profile.targets:
        about = [number for number in known if speaks_of(rules, number, species)]
        mine = [number for number in here if speaks_of(rules, number, species)]
        gone = {wider for rule, wider in rules.replaces if rule in mine}
        mine = [number for number in mine if number not in gone]
        if not about:
            continue
        found = [
            (standing(_spans_of(rules, one, zone, at_us), at_us), one[0])
            for one in _by_authority(rules, mine)
        ]
        found.sort(key=lambda one: (one[0].open, one[0].closes_us, one[1]))
        state, rule = found[0] if found else (standing((), at_us), about[0])
        if species in world.closed and state.open:
            state = Standing(False, state.closes_us, at_us, state.opens_us)
        yield Season(species, state, rule)


def _by_authority(rules: VersionRules, numbers: list[int]) -> list[list[int]]:
    found: dict[int, list[int]] = {}
    for number in numbers:
        found.setdefault(rules.authority[number], []).append(number)
    return list(found.values())


def _spans_of(rules: VersionRules, numbers: list[int], zone: ZoneInfo, at_us: int) -> list[Span]:
    return [
        span
        for number in numbers
        for span in spans(rules.forms[number], rules.params[number], zone, at_us)
    ]
