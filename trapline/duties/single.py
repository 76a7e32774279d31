"""Duties that one event opens and one event closes: an animal waiting, a search, a set's end."""

from datetime import datetime
from typing import Any
from uuid import UUID

from trapline.duties.models import Duty, Kind
from trapline.duties.refresh import advance
from trapline.ground import sql
from trapline.ground.ids import new_id
from trapline.ground.wake import DELIVER, wake

OF_A_SET = (Kind.CHECK, Kind.SEARCH, Kind.PULL)


def open_now(
    team: UUID,
    kind: Kind,
    *,
    at: datetime,
    moment: datetime,
    who: UUID | None,
    of_line: UUID | None,
    **subject: Any,
) -> UUID:
    """Open a duty due at once and put its first notices in the outbox. Two statements.

    of_line: the line it is to be done on; None only for a licence's.
    subject: exactly one of set_id, waiting_id, line_id, licence_id.
    """
    duty = new_id()
    Duty.objects.create(
        id=duty,
        team_id=team,
        kind=kind,
        who_id=who,
        of_line_id=of_line,
        basis_at=at,
        due_at=at,
        next_at=at,
        **subject,
    )
    advance(team, [duty], [at], moment)
    wake(DELIVER)
    return duty


def close_one(team: UUID, duty: UUID, *, at: datetime, moment: datetime, act: UUID) -> int:
    """Close one duty, if it is open. One statement; gives how many."""
    values = {"team": team, "duty": duty, "at": at, "moment": moment, "act": act}
    return sql.run("trapline.duties", "close_one", values)


def close(
    team: UUID,
    *kinds: Kind,
    at: datetime,
    moment: datetime,
    act: UUID,
    set_id: UUID | None = None,
    waiting_id: UUID | None = None,
) -> int:
    """Close what is open of these kinds on one set or waiting. One statement; gives how many."""
    values = {
        "team": team, "kinds": [kind.value for kind in kinds], "at": at, "moment": moment,
        "act": act, "set": set_id, "waiting": waiting_id,
    }  # fmt: skip
    return sql.run("trapline.duties", "close", values)
