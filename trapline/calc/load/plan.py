"""The best load within the limits, the runner-up, and what one more of each limit adds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from trapline.calc.load.counts import best
from trapline.calc.load.question import STEPS, Load, Question
from trapline.calc.load.table import Table


@dataclass(frozen=True)
class Answer:
    """The best load, the next best other mix of kinds, and what one more of each limit adds.

    `more` holds only limits that are set; those that add nothing do not bind. `turns_at`: the plan
    holds until the rates of its leading kind fall to this share of what was supposed; None where
    no fall turns it to the runner-up.
    """

    plan: Load
    runner_up: Load | None
    more: Mapping[str, float] = field(default_factory=dict)
    leading: str | None = None
    turns_at: float | None = None

    @property
    def binds(self) -> list[str]:
        """The limits of which a little more would gain."""
        return [name for name, added in self.more.items() if added > 1e-9]


def answer(question: Question) -> Answer:
    """The exact best load. ValueError that names a kind or limit that cannot be."""
    question.checked()
    if not question.kinds:
        return Answer(Load((), 0.0, {}), None)
    table = Table(question)
    counts = best(table.problem)
    assert counts is not None  # to carry nothing keeps every limit
    plan = table.load(counts)
    other = best(table.problem, (table.groups, table.groups @ counts))
    runner = None if other is None else table.load(other)
    more = {}
    for name, step in STEPS.items():
        limit = getattr(question.limits, name)
        if np.isfinite(limit):
            wider = replace(question, limits=replace(question.limits, **{name: limit + step}))
            more[name] = max(0.0, gain(wider) - plan.gain)
    leading = max(plan.carried, key=lambda one: one.gain, default=None)
    key = leading.key if leading is not None and leading.gain > 0 else None
    return Answer(plan, runner, more, key, _turns_at(plan, runner, key))


def gain(question: Question) -> float:
    """What the best load gains; 0 where nothing can be carried."""
    if not question.kinds:
        return 0.0
    table = Table(question)
    counts = best(table.problem)
    return 0.0 if counts is None else float(table.problem.gain @ counts)


def _turns_at(plan: Load, runner: Load | None, key: str | None) -> float | None:
    """The share f of the leading kind's gain at which rest + f own = rest' + f own'."""
    if runner is None or key is None:
        return None
    own = sum(one.gain for one in plan.carried if one.key == key)
    theirs = sum(one.gain for one in runner.carried if one.key == key)
    if own - theirs <= 1e-12:
        return None
    share = ((runner.gain - theirs) - (plan.gain - own)) / (own - theirs)
    return share if 0 < share <= 1 else None
