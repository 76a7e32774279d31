"""Duties brought in line with what binds; steps taken when their moment has come."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

from trapline.binding.bind import Bound
from trapline.calc.deadlines import NEVER_US
from trapline.ground import sql

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def instants(values: NDArray[np.int64]) -> list[datetime | None]:
    """Microseconds since the epoch as instants, NEVER_US as None. No loop over calendar sums."""
    return [
        None if us == NEVER_US else EPOCH + timedelta(microseconds=us) for us in values.tolist()
    ]


def refresh_checks(
    bound: Bound,
    moment: datetime,
    *,
    act: UUID | None = None,
    rows: Sequence[int] | None = None,
    newest: bool = False,
) -> None:
    """Bring the open check duty of each bound set in line with its rule. One statement.

    rows: numbers of the sets to touch (all, if None). newest: no visit was later than those that
    the sets are bound by, so none was taken back and no done duty is looked for.
    """
    chosen = np.arange(len(bound.sets.ids)) if rows is None else np.array(rows, dtype=np.int64)
    if not len(chosen):
        return
    rule_ids = bound.rules.ids if bound.rules else ()
    sql.run(
        "trapline.duties",
        "refresh",
        {
            "team": bound.sets.team,
            "sets": [bound.sets.ids[n] for n in chosen],
            "basis": instants(bound.sets.visit_us[chosen]),
            "due": instants(bound.due_us[chosen]),
            "rules": [rule_ids[r] if r >= 0 else None for r in bound.rule_no[chosen].tolist()],
            "who": [bound.sets.responsible[n] for n in chosen],
            "stamp": bound.sets.stamp,
            "act": act,
            "moment": moment,
            "newest": newest,
        },
    )


def advance(
    team: UUID, duties: Sequence[UUID], due: Sequence[datetime | None], moment: datetime
) -> None:
    """Take the steps that have come due: overdue marks, transitions, notices. One statement."""
    if duties:
        sql.run(
            "trapline.duties",
            "advance",
            {"team": team, "duties": list(duties), "due": list(due), "moment": moment},
        )


def learned_late(bound: Bound, set_id: UUID, *, at: datetime, moment: datetime, act: UUID) -> None:
    """A check older than the set's last visit came in: the duty it met was done at its time.

    bound: what binds the set after that check; from it the next duty counts, which was done by the
    check that was known before. One statement.
    """
    known = bool(len(bound.sets.ids))
    rule = int(bound.rule_no[0]) if known else -1
    sql.run(
        "trapline.duties",
        "late",
        {
            "team": bound.sets.team, "set": set_id, "at": at, "moment": moment, "act": act,
            "known": known, "stamp": bound.sets.stamp if known else 0,
            "due": instants(bound.due_us[:1])[0] if known else None,
            "rule": bound.rules.ids[rule] if bound.rules and rule >= 0 else None,
            "who": bound.sets.responsible[0] if known else None,
        },
    )  # fmt: skip


def visit_fell_away(team: UUID, set_id: UUID, *, at: datetime, moment: datetime) -> None:
    """A visit with others before and after it is no visit any more: its duties follow the record.

    Nothing happens for the set's last visit, whose duty refresh_checks takes back. One statement.
    """
    sql.run("trapline.duties", "fallen", {"team": team, "set": set_id, "at": at, "moment": moment})
