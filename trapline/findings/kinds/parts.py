"""Parts: there, strong enough, weak enough, and not spent."""

import numpy as np

from trapline.findings.asked import Bounds
from trapline.findings.facts import ROLES, Bools
from trapline.findings.kinds.device import of_targets
from trapline.findings.looking import Found, Looking, finding, where
from trapline.findings.models import FitWhat, Severity

OWN_CODE = ("swivel", "breakaway")  # whose absence has a code of its own
WEIGHED = ("cable", "lock", "swivel", "support", "breakaway", "stop")  # loads that are read
SLACK_M = 0.0001  # wire is made to a tolerance


def has(look: Looking, role: str) -> Bools:
    """Which devices have a part of this role now."""
    there: Bools = (look.facts.parts >> ROLES.index(role)) & 1 == 1
    return there


def _recorded(look: Looking) -> Bools:
    """Devices whose parts were ever written down. Of the others nothing is known."""
    known: Bools = look.facts.parts_ever != 0
    return known


def _required(look: Looking, role: str) -> list[Found]:
    if role not in _by_rule(look):
        return []
    rule = look.each(lambda _, answer: answer.parts.get(role, -1), np.int64)
    mask = (rule >= 0) & _recorded(look) & ~has(look, role) & ~_spent(look)
    return where(mask, {}, rule, role)


@finding("no_swivel", Severity.STOP)
def no_swivel(look: Looking) -> list[Found]:
    """No swivel where a rule asks for one."""
    return _required(look, "swivel")


@finding("no_breakaway", Severity.STOP)
def no_breakaway(look: Looking) -> list[Found]:
    """No breakaway where a rule asks for one."""
    return _required(look, "breakaway")


@finding("part_missing", Severity.STOP)
def part_missing(look: Looking) -> list[Found]:
    """Another part that a rule asks for, or that its kind of device is built of, is not there."""
    found, facts, asked = [], look.facts, _by_rule(look)
    built = int(np.bitwise_or.reduce(facts.parts_wanted, initial=0))
    for bit, role in enumerate(ROLES):
        if role not in asked and not built >> bit & 1:
            continue
        rule = look.each(lambda _, answer, role=role: answer.parts.get(role, -1), np.int64)  # type: ignore[misc]
        by_rule = (rule >= 0) & (role not in OWN_CODE)
        by_kind = ((facts.parts_wanted >> bit) & 1 == 1) & ~((rule >= 0) & (role in OWN_CODE))
        mask = (by_rule | by_kind) & _recorded(look) & ~has(look, role) & ~_spent(look)
        found += where(mask, {}, np.where(by_rule, rule, -1), role)
    return found


@finding("parts_not_recorded", Severity.WATCH)
def parts_not_recorded(look: Looking) -> list[Found]:
    """Rules ask for parts, and nobody wrote down what the device is built of."""
    rule = look.each(
        lambda _, answer: max((*answer.parts.values(), *_loads(answer.strengths)), default=-1),
        np.int64,
    )
    return where((rule >= 0) & ~_recorded(look), {}, rule)


def _by_rule(look: Looking) -> set[str]:
    """Roles that any rule asks for here."""
    return {role for answer in look.asked for role in answer.parts}


def _weighed(look: Looking) -> list[str]:
    """Roles of whose load any rule says something here."""
    asked = {role for answer in look.asked for role in answer.strengths}
    return [role for role in WEIGHED if role in asked]


def _loads(strengths: dict[str, Bounds]) -> list[int]:
    return [max(one.low_rule, one.high_rule) for one in strengths.values()]


def _spent(look: Looking) -> Bools:
    return look.facts.cable_spent & ~has(look, "cable")


@finding("cable_spent", Severity.STOP)
def cable_spent(look: Looking) -> list[Found]:
    """A catch has spent the cable, and no other is in the device that still stands."""
    return where(_spent(look))


@finding("part_weak", Severity.MEND)
def part_weak(look: Looking) -> list[Found]:
    """A cable, lock, swivel or other part below the breaking load that a rule asks for."""
    found = []
    for role in _weighed(look):
        low, rule, _, _ = look.bounds(lambda answer, role=role: answer.strengths.get(role))  # type: ignore[misc]
        load = getattr(look.facts, f"{role}_n")
        found += where(load < low, {"load_n": load, "at_least_n": low}, rule, role)
    return found


@finding("breakaway_too_strong", Severity.STOP)
def breakaway_too_strong(look: Looking) -> list[Found]:
    """A breakaway, or another part that must let go, above the load that a rule allows."""
    found = []
    for role in _weighed(look):
        _, _, high, rule = look.bounds(lambda answer, role=role: answer.strengths.get(role))  # type: ignore[misc]
        load = getattr(look.facts, f"{role}_n")
        found += where(load > high, {"load_n": load, "at_most_n": high}, rule, role)
    return found


@finding("load_not_known", Severity.WATCH)
def load_not_known(look: Looking) -> list[Found]:
    """A rule asks for a breaking load, and the kind of part that is there states none."""
    found = []
    for role in _weighed(look):
        _, low, _, high = look.bounds(lambda answer, role=role: answer.strengths.get(role))  # type: ignore[misc]
        rule = np.maximum(low, high)
        unknown = np.isnan(getattr(look.facts, f"{role}_n")) & has(look, role)
        found += where((rule >= 0) & unknown, {}, rule, role)
    return found


@finding("cable_thin", Severity.MEND)
def cable_thin(look: Looking) -> list[Found]:
    """A cable thinner than the device-fit table has for the target."""
    wire, found = look.facts.cable_m, []
    for species, low, _ in of_targets(look, FitWhat.CABLE):
        numbers = {"cable_m": wire, "at_least_m": low}
        found += where(wire < low - SLACK_M, numbers, what=species)
    return found


@finding("part_past_life", Severity.MEND)
def part_past_life(look: Looking) -> list[Found]:
    """A part that has served longer than the team lets its kind serve."""
    facts, found = look.facts, []
    numbers = {"nights": np.floor(facts.worn_nights), "life_nights": facts.life_nights}
    for role in sorted(set(facts.worn_role.tolist()) - {""}):
        found += where(facts.worn_role == role, numbers, what=role)
    return found
