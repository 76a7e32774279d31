"""People: signed off for what they look after, or supervised as the rules ask."""

import numpy as np

from trapline.findings.facts import Bools, Objects
from trapline.findings.looking import Found, Looking, finding, unlike, where
from trapline.findings.models import Severity

_ENOUGH = {
    "on_call": ("on_call", "in_sight"),  # in sight and voice is more than on call
    "in_sight": ("in_sight",),
}


def _lacks(skills: Objects, needed: Objects) -> Bools:
    """Whose skills leave out one that is needed; each distinct pair is asked once."""
    pair = np.array([f"{a}\x1f{b}" for a, b in zip(skills, needed, strict=True)], dtype=object)

    def lacking(text: str) -> bool:
        got, asked = text.split("\x1f")
        return got != "*" and bool(set(filter(None, asked.split(","))) - set(got.split(",")))

    return unlike(pair, lacking) if len(pair) else np.zeros(0, dtype=np.bool_)


def _needed(look: Looking) -> Objects:
    """What the kind of device asks for and what the rules ask for, codes with commas between."""
    by_rule = look.each(lambda _, answer: ",".join(sorted(answer.skills)), np.object_)
    return np.array(
        [",".join(filter(None, both)) for both in zip(look.facts.skill, by_rule, strict=True)],
        dtype=object,
    )


def _skill_rule(look: Looking) -> np.ndarray:
    return look.each(lambda _, answer: min(answer.skills.values(), default=-1), np.int64)


def _watched(look: Looking) -> tuple[Objects, np.ndarray]:
    how = look.each(lambda _, answer: answer.watched, np.object_)
    return how, look.each(lambda _, answer: answer.watched_rule, np.int64)


@finding("no_sign_off", Severity.STOP)
def no_sign_off(look: Looking) -> list[Found]:
    """Set by, or left to, a person without the sign-off; a rule that lets learners be supervised

    leaves the looking after to `unsupervised`.
    """
    facts, needed, rule = look.facts, _needed(look), _skill_rule(look)
    how, _ = _watched(look)
    learning = how != ""
    left = where(_lacks(facts.skills, needed) & ~learning, {}, rule, "responsible")
    return left + where(_lacks(facts.placer_skills, needed) & ~learning, {}, rule, "placer")


@finding("unsupervised", Severity.STOP)
def unsupervised(look: Looking) -> list[Found]:
    """Last looked at by a learner who was not supervised as a rule asks."""
    facts = look.facts
    how, rule = _watched(look)
    pair = np.array([f"{a}\x1f{b}" for a, b in zip(facts.supervision, how, strict=True)], object)

    def too_little(text: str) -> bool:
        was, asked = text.split("\x1f")
        return asked != "" and was not in _ENOUGH[asked]

    little = unlike(pair, too_little) if len(pair) else np.zeros(0, dtype=np.bool_)
    mask = (facts.checked_us >= 0) & _lacks(facts.checker_skills, _needed(look)) & little
    return where(mask, {"checked_us": facts.checked_us}, rule)


@finding("agent_not_allowed", Severity.STOP)
def agent_not_allowed(look: Looking) -> list[Found]:
    """It bears another's licence, and no rule lets an agent tend it."""
    rule = look.each(lambda _, answer: answer.agents.tend.forbids, np.int64)
    return where((rule >= 0) & ~look.facts.holds_licence, {}, rule)


@finding("agent_without_paper", Severity.STOP)
def agent_without_paper(look: Looking) -> list[Found]:
    """It bears another's licence, and who looks after it has not the paper that a rule asks for."""
    facts = look.facts
    barred = look.each(lambda _, answer: answer.agents.tend.forbids, np.int64) >= 0
    rule = look.each(lambda _, answer: answer.agents.tend.paper, np.int64)
    without = ~facts.holds_licence & ((facts.papers_days & look.today) == 0)
    return where((rule >= 0) & without & ~barred, {}, rule)


@finding("nobody_to_tend", Severity.STOP)
def nobody_to_tend(look: Looking) -> list[Found]:
    """Whoever looks after it is away: hand it over, or pull it."""
    facts = look.facts
    return where(facts.away, {"due_us": facts.due_us})
