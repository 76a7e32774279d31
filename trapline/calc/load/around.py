"""What lies around a load: one more of what the team has, one more by law, one group alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from trapline.calc.load.plan import gain
from trapline.calc.load.question import Load, Question


def one_more_of_a_kind(question: Question, plan: Load) -> dict[str, float]:
    """What one more device at hand adds, for each kind of which no more can be had."""
    found = {}
    for place, kind in enumerate(question.kinds):
        if kind.most is None:
            continue
        kinds = list(question.kinds)
        kinds[place] = replace(kind, most=kind.most + 1, have=kind.have + 1)
        found[kind.key] = max(0.0, gain(replace(question, kinds=tuple(kinds))) - plan.gain)
    return found


def one_more_by_law(question: Question, plan: Load) -> list[float]:
    """What one more device in each group that the law counts adds; solved again."""
    found = []
    for place, (keys, most) in enumerate(question.limits.law):
        law = list(question.limits.law)
        law[place] = (keys, most + 1)
        wider = replace(question, limits=replace(question.limits, law=tuple(law)))
        found.append(max(0.0, gain(wider) - plan.gain))
    return found


def alone(question: Question, groups: Mapping[str, Sequence[str]]) -> dict[str, float]:
    """What the best load gains of the kinds of each group alone, within the same limits."""
    return {
        name: gain(replace(question, kinds=tuple(k for k in question.kinds if k.key in keys)))
        for name, keys in groups.items()
    }
