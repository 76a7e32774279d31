"""Duties that one event opens and one event closes: an animal waiting, a search, a set's end."""

from datetime import datetime
from typing import Any
from uuid import UUID

from trapline.duties.models import Duty, Kind, State, Transition
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


def done_by(act: UUID, *kinds: Kind) -> list[Duty]:
    """The duties of these kinds that an act did. One statement."""
    return list(Duty.objects.filter(done_by_id=act, kind__in=kinds, state=State.DONE))


def done_under(duty: Duty, act: UUID) -> None:
    """Another act is the one that did a duty: the correction of the one before. One statement."""
    Duty.objects.filter(id=duty.id).update(done_by_id=act)


def reopen(duty: Duty, moment: datetime) -> UUID:
    """What was done is not: the duty is cancelled, and a new one asks and tells again.

    Four statements. A notice is unique by its duty, so the old duty could not tell of it again.
    """
    Duty.objects.filter(id=duty.id).update(
        state=State.CANCELLED, done_at=None, done_by_id=None, next_at=None
    )
    Transition.objects.create(
        team_id=duty.team_id, duty_id=duty.id, was=State.DONE, now=State.CANCELLED, at=moment,
        noticed_at=moment, due_at=duty.due_at,
    )  # fmt: skip
    return open_now(
        duty.team_id, Kind(duty.kind), at=duty.basis_at, moment=moment, who=duty.who_id,
        of_line=duty.of_line_id, set_id=duty.set_id, waiting_id=duty.waiting_id,
    )  # fmt: skip
