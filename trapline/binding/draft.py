"""When visits would fall due by the rules of a draft, which no version has."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

from trapline.binding.bind import Applying, choose, columns_of, rows_of
from trapline.binding.matters import VersionRules
from trapline.binding.moving import grants_of
from trapline.binding.profiles import Profile, applying
from trapline.binding.rules import FIRST_DAY, LAST_DAY, CheckRules, form_of
from trapline.binding.world import World
from trapline.ground.ids import new_id
from trapline.rulebook.models import Authority, Matter


def due_by_draft(
    team: UUID, profiles: Mapping[UUID, Profile], world: World
) -> dict[UUID, tuple[int, UUID | None]]:
    """Per active set: when it is due by `world.draft` (NEVER_US: never), and the rule's id there.

    Two statements: the sets' visits, and the authorities that the draft names; one each where a
    rule has a window that the last visit missed or asks for temperatures.
    """
    draft = world.draft
    assert draft is not None
    numbers = draft.of(Matter.CHECK, Matter.TENDING)
    rows = rows_of(team, list(profiles), world)
    sets, _, _ = columns_of(team, rows)
    rules = _check_rules(team, draft, numbers)
    pairs = _pairs([profiles[one] for one in sets.ids], draft, numbers, world)
    grants = grants_of(rules, [row[11] for row in rows], [row[12] for row in rows])
    bound = choose(Applying(sets, rules, pairs[:, 0], pairs[:, 1], grants), world)
    return {
        one: (due, rules.ids[rule] if rule >= 0 else None)
        for one, due, rule in zip(
            sets.ids, bound.due_us.tolist(), bound.rule_no.tolist(), strict=True
        )
    }


def _pairs(
    profiles: list[Profile], draft: VersionRules, numbers: list[int], world: World
) -> NDArray[np.int64]:
    """Rows of set number and rule number (its place in `numbers`). Likenesses are asked once."""
    place = {number: at for at, number in enumerate(numbers)}
    known: dict[Profile, list[int]] = {}
    found = []
    for set_no, profile in enumerate(profiles):
        if profile not in known:
            known[profile] = [place[one] for one in applying(draft, profile, world.moment, numbers)]
        found += [(set_no, rule_no) for rule_no in known[profile]]
    return np.array(found, dtype=np.int64).reshape(-1, 2)


def _check_rules(team: UUID, draft: VersionRules, numbers: list[int]) -> CheckRules:
    known = Authority.objects.filter(team_id=team, code__in=draft.authorities)
    ids = dict(known.values_list("code", "id"))
    place = {number: at for at, number in enumerate(numbers)}
    pairs = [
        (place[one], place[wider])
        for one, wider in draft.replaces
        if one in place and wider in place
    ]

    def column(values: tuple[int | None, ...], default: int) -> NDArray[np.int64]:
        return np.array([values[one] or default for one in numbers], dtype=np.int64)

    return CheckRules(
        ids=tuple(draft.ids[one] for one in numbers),
        codes=tuple(draft.codes[one] for one in numbers),
        forms=tuple(
            form_of(draft.matters[one], draft.forms[one], draft.params[one]) for one in numbers
        ),
        authority=np.array([draft.authority[one] for one in numbers], dtype=np.int64),
        # An authority that only the draft names has granted nothing yet: any id does.
        authority_ids=tuple(ids.get(code) or new_id() for code in draft.authorities),
        from_day=column(draft.from_day, FIRST_DAY),
        until_day=column(draft.until_day, LAST_DAY),
        replaces=np.array(pairs, dtype=np.int64).reshape(-1, 2),
        hours=np.array([draft.matters[one] == Matter.TENDING for one in numbers], dtype=np.bool_),
    )
