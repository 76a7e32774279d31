"""The rules of visits of a version as arrays: check intervals, and hours without tending.

A version never changes, so it is read once."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Any
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

from trapline.calc.deadlines import CheckForm, from_params
from trapline.rulebook.models import Matter, Rule

FIRST_DAY, LAST_DAY = 101, 1231


@dataclass(frozen=True)
class CheckRules:
    """Rules by number (their order by code). `replaces` holds pairs (rule, what it replaces).

    `hours`: which of them only forbid tending in some hours, and set no interval.
    """

    ids: tuple[UUID, ...]
    codes: tuple[str, ...]
    forms: tuple[CheckForm, ...]
    authority: NDArray[np.int64]
    authority_ids: tuple[UUID, ...]
    from_day: NDArray[np.int64]
    until_day: NDArray[np.int64]
    replaces: NDArray[np.int64]
    hours: NDArray[np.bool_]


@lru_cache(maxsize=256)
def check_rules(version: UUID) -> CheckRules:
    """The rules of visits of a version. One statement, the first time."""
    rows = list(
        Rule.objects.filter(version_id=version, matter__in=(Matter.CHECK, Matter.TENDING))
        .order_by("code")
        .values_list(
            "id",
            "code",
            "form",
            "params",
            "authority_id",
            "from_day",
            "until_day",
            "instead_of",
            "matter",
        )
    )
    rows.sort(key=lambda row: row[1])
    numbers = {row[1]: number for number, row in enumerate(rows)}
    authorities = tuple(sorted({row[4] for row in rows}))
    pairs = [
        (number, numbers[wider])
        for number, row in enumerate(rows)
        for wider in row[7]
        if wider in numbers
    ]
    return CheckRules(
        ids=tuple(row[0] for row in rows),
        codes=tuple(row[1] for row in rows),
        forms=tuple(form_of(row[8], row[2], row[3]) for row in rows),
        authority=np.array([authorities.index(row[4]) for row in rows], dtype=np.int64),
        authority_ids=authorities,
        from_day=np.array([row[5] or FIRST_DAY for row in rows], dtype=np.int64),
        until_day=np.array([row[6] or LAST_DAY for row in rows], dtype=np.int64),
        replaces=np.array(pairs, dtype=np.int64).reshape(-1, 2),
        hours=np.array([row[8] == Matter.TENDING for row in rows], dtype=np.bool_),
    )


def form_of(matter: str, form: str, params: Any) -> CheckForm:
    """A rule of visits as its sum reads it: hours without tending are an exempt interval's."""
    if matter == Matter.TENDING:
        return from_params("none", {"no_tending": params})
    return from_params(form, params)
