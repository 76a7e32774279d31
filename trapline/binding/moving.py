"""What moves the due moment that the rules' intervals give: officers' extensions, and hours in

which nobody may tend."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from trapline.binding.rules import CheckRules
from trapline.binding.sets import Sets
from trapline.calc.deadlines import Grants, before_forbidden_many

Ints = NDArray[np.int64]

NONE = np.zeros(0, dtype=np.int64)
NO_GRANTS = Grants(NONE, NONE, NONE)


def grants_of(
    rules: CheckRules,
    authorities: Sequence[list[UUID] | None],
    until_us: Sequence[list[int] | None],
) -> Grants:
    """The extensions of each set as rows; of an authority without a rule of visits, none."""
    place = {authority: number for number, authority in enumerate(rules.authority_ids)}
    rows = [
        (number, place[authority], until)
        for number, given in enumerate(authorities)
        if given
        for authority, until in zip(given, until_us[number] or (), strict=True)
        if authority in place
    ]
    if not rows:
        return NO_GRANTS
    return Grants(*(np.array(column, dtype=np.int64) for column in zip(*rows, strict=True)))


def before_hours(
    sets: Sets, rules: CheckRules, set_no: Ints, rule_no: Ints, due_us: Ints
) -> tuple[Ints, Ints]:
    """Due moments per set, moved to before the forbidden hours, and the rule that moved each (-1).

    `set_no`, `rule_no`: the rules of hours that apply. Hours of several rules may meet, so it goes
    on until nothing moves; each step goes back in time, and no more steps than rules are needed
    unless hours of one rule lead into another's.
    """
    due, by = due_us.copy(), np.full(len(due_us), -1, dtype=np.int64)
    for _ in range(2 * len(np.unique(rule_no))):
        before = due.copy()
        for number in np.unique(rule_no).tolist():
            for name in set(sets.tz[set_no[rule_no == number]].tolist()):
                of = set_no[(rule_no == number) & (sets.tz[set_no] == name)]
                moved = before_forbidden_many(
                    rules.forms[number], due[of], ZoneInfo(name), sets.lat[of], sets.lon[of]
                )
                by[of[moved != due[of]]] = number
                due[of] = moved
        if (due == before).all():
            break
    return due, by
