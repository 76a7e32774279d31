"""When the season closes for a species where a set stands."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from zoneinfo import ZoneInfo

from trapline.binding.matters import VersionRules
from trapline.binding.profiles import Profile, fits, speaks_of
from trapline.calc.clock import NEVER_US, to_us
from trapline.calc.seasons import Span, spans

NO_RULE = -1


def close_of(
    rules: VersionRules,
    profile: Profile,
    species: str,
    at: datetime,
    *,
    since_us: int | None = None,
) -> tuple[int, int]:
    """The season's close that counts at a moment (microseconds), and the rule; else NEVER_US, -1.

    Of the open season its close; of several authorities the earliest. While it is shut: the close
    that lies after `since_us` (a set that stood through it), else the close of the next opening.
    Without `since_us` a season that is shut has no close.
    """
    found = [
        (close, numbers[0])
        for numbers in _by_authority(rules, _about(rules, profile, species, at))
        if (close := _close(rules, numbers, profile, to_us(at), since_us)) is not None
    ]
    return min(found, default=(NEVER_US, NO_RULE))


def _about(rules: VersionRules, profile: Profile, species: str, at: datetime) -> list[int]:
    mine = [
        number
        for number in rules.of("season")
        if fits(rules, number, profile, at) and speaks_of(rules, number, species)
    ]
    gone = {wider for rule, wider in rules.replaces if rule in mine}
    return [number for number in mine if number not in gone]


def _by_authority(rules: VersionRules, numbers: Iterable[int]) -> list[list[int]]:
    found: dict[int, list[int]] = {}
    for number in numbers:
        found.setdefault(rules.authority[number], []).append(number)
    return list(found.values())


def _close(
    rules: VersionRules, numbers: list[int], profile: Profile, at_us: int, since_us: int | None
) -> int | None:
    zone = ZoneInfo(profile.tz)
    about = [
        span
        for number in numbers
        for span in spans(rules.forms[number], rules.params[number], zone, at_us)
    ]
    running = [span.closes_us for span in about if span.opens_us <= at_us < span.closes_us]
    if running:
        return max(running)
    return None if since_us is None else _shut(about, at_us, since_us)


def _shut(about: list[Span], at_us: int, since_us: int) -> int | None:
    closed = max((span.closes_us for span in about if span.closes_us <= at_us), default=since_us)
    if closed > since_us:
        return closed
    ahead = [span for span in about if span.opens_us > at_us]
    return min(ahead, key=lambda span: span.opens_us).closes_us if ahead else None
