"""What an act on a set needs to know, read and locked in one statement."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from trapline.ground import sql
from trapline.ground.errors import Held, NeedsReview
from trapline.record.acting import Desk
from trapline.standing.models import SetPeriod


@dataclass(frozen=True)
class SetAtHand:
    """A set as it stands, with its row locked against other acts on it."""

    id: UUID
    label: str
    line: UUID
    tz: str
    licence: UUID
    active: bool
    ended_at: datetime | None
    placed_at: datetime
    last_visit_at: datetime
    responsible: UUID
    device: UUID
    device_class: str
    action: str
    placement: str
    zone: UUID | None
    search_since: datetime | None  # since when a search has been due
    zone_codes: list[str]
    licence_kind: str
    targets: tuple[UUID, ...]


def set_at_hand(
    desk: Desk, set_id: UUID, field: str = "set", *, once_theirs: bool = False
) -> SetAtHand:
    """The set, if this actor may act on it. One statement when it is theirs now.

    Theirs when the act was made is theirs, however late it comes in. Unknown and another's look
    the same: Held. Theirs once, but no longer: NeedsReview, unless once_theirs will do.
    """
    rows = sql.rows("trapline.record", "at_hand", {"team": desk.team, "set": set_id})
    if not rows:
        raise Held(field, set_id)
    row = rows[0]
    hand = SetAtHand(*(*row[:-1], tuple(row[-1])))
    if desk.actor.leads or desk.overruled or hand.responsible == desk.actor.member:
        return hand
    was_theirs = SetPeriod.objects.filter(set_id=set_id, responsible_id=desk.actor.member)
    then = was_theirs if once_theirs else was_theirs.filter(during__contains=desk.at)
    if then.exists():
        return hand
    if was_theirs.exists():
        raise NeedsReview(field, "set_not_yours_now", label=hand.label)
    raise Held(field, set_id)


def must_stand(desk: Desk, hand: SetAtHand) -> None:
    """The set was in business at the time of the act, or a reviewer has to look."""
    if desk.at < hand.placed_at:
        raise NeedsReview("at", "before_placed", label=hand.label)
    if hand.ended_at is not None and desk.at >= hand.ended_at:
        raise NeedsReview("set", "set_ended", label=hand.label, at=hand.ended_at.isoformat())
