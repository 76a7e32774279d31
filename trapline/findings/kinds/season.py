"""Seasons: shut for a target, not open yet, or still standing when all have shut."""

import numpy as np

from trapline.calc.clock import NEVER_US
from trapline.findings.asked import Asked, Season
from trapline.findings.facts import Bools, Ints
from trapline.findings.looking import Found, Looking, finding, unlike, where
from trapline.findings.models import Severity


def _targets(look: Looking) -> list[str]:
    return sorted({one.species for answer in look.asked for one in answer.seasons})


def _of(answer: Asked, species: str) -> Season | None:
    return next((one for one in answer.seasons if one.species == species), None)


def _column(look: Looking, species: str, name: str) -> Ints:
    """A figure of each set's season of a species; NEVER_US where it is no target."""

    def figure(answer: Asked) -> int:
        one = _of(answer, species)
        return NEVER_US if one is None else int(getattr(one.standing, name))

    return look.each(lambda _, answer: figure(answer), np.int64)


def _rule(look: Looking, species: str) -> Ints:
    return look.each(lambda _, answer: one.rule if (one := _of(answer, species)) else -1, np.int64)


def _shut(look: Looking, species: str) -> Bools:
    return look.each(
        lambda _, answer: (one := _of(answer, species)) is not None and not one.standing.open,
        np.bool_,
    )


def _all_shut(look: Looking) -> Bools:
    """Every target that the book has a season for is shut."""
    return look.each(
        lambda _, answer: (
            bool(answer.seasons) and all(not one.standing.open for one in answer.seasons)
        ),
        np.bool_,
    )


def target_open(look: Looking) -> Bools:
    """Which sets have a target whose season is open."""
    return look.each(lambda _, answer: any(one.standing.open for one in answer.seasons), np.bool_)


def _closed_while_it_stood(look: Looking, species: str) -> Bools:
    closed = _column(look, species, "closed_us")
    stood: Bools = (closed != NEVER_US) & (closed > look.facts.placed_us)
    return stood


@finding("season_closed", Severity.STOP)
def season_closed(look: Looking) -> list[Found]:
    """A target whose season has closed, at a set that has others or was placed after the close."""
    found = []
    for species in _targets(look):
        closed = _column(look, species, "closed_us")
        opened_since = _column(look, species, "opens_us")
        mask = _shut(look, species) & (closed != -NEVER_US) & (closed != NEVER_US)
        mask &= ~(_all_shut(look) & _closed_while_it_stood(look, species))
        mask &= _nearer_behind(look, closed, opened_since)
        found += where(mask, {"closed_us": closed}, _rule(look, species), species)
    return found


@finding("season_not_open", Severity.STOP)
def season_not_open(look: Looking) -> list[Found]:
    """A target whose season opens only later, or that has none for sets like this."""
    found = []
    for species in _targets(look):
        closed, opens = _column(look, species, "closed_us"), _column(look, species, "opens_us")
        mask = _shut(look, species) & ~_nearer_behind(look, closed, opens)
        mask &= ~(_all_shut(look) & _closed_while_it_stood(look, species))
        found += where(mask, {"opens_us": opens}, _rule(look, species), species)
    return found


@finding("not_pulled", Severity.STOP)
def not_pulled(look: Looking) -> list[Found]:
    """Still standing although every target's season has closed since it was placed."""
    found = []
    for species in _targets(look):
        mask = _shut(look, species) & _all_shut(look) & _closed_while_it_stood(look, species)
        closed = _column(look, species, "closed_us")
        found += where(mask, {"closed_us": closed}, _rule(look, species), species)
    return found


@finding("closed_by_notice", Severity.STOP)
def closed_by_notice(look: Looking) -> list[Found]:
    """A notice has closed a target here, and the set still stands."""
    facts, found = look.facts, []
    texts = set(facts.notice_closed.tolist())
    for species in sorted({one for text in texts for one in text.split(",") if one}):
        mask = unlike(facts.notice_closed, lambda text, one=species: one in text.split(","))  # type: ignore[misc]
        found += where(mask, {"pull_by_us": facts.pull_by_us}, what=species)
    return found


def _nearer_behind(look: Looking, closed: Ints, opens: Ints) -> Bools:
    """Whether the last close is nearer than the next opening: the season is over, not ahead."""
    has_closed = closed != -NEVER_US
    behind = np.where(has_closed, look.moment_us - closed, NEVER_US)
    ahead = np.where(opens == NEVER_US, NEVER_US, opens - look.moment_us)
    over: Bools = has_closed & (behind <= ahead)
    return over
