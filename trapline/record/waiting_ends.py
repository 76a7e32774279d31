"""How an animal's waiting ends, what is owed then, and what when the end falls away."""

from uuid import UUID

from trapline.duties.models import Kind as DutyKind
from trapline.duties.single import close, done_by, done_under, open_now, reopen
from trapline.ground.errors import Held
from trapline.lines.models import Set, Waiting, WaitingEnd
from trapline.lines.selectors import ends_in_effect
from trapline.lines.words import Fate
from trapline.record.acting import Desk
from trapline.record.check_body import CheckSaid


def fallen_end(waiting: UUID) -> UUID | None:
    """The last end of a waiting that has ended and waits again; a new one replaces it."""
    ends = WaitingEnd.objects.filter(waiting_id=waiting)
    replaced = ends.exclude(replaces=None).values("replaces_id")
    found: UUID | None = ends.exclude(id__in=replaced).values_list("id", flat=True).first()
    return found


def owe_catch(desk: Desk, waiting: Waiting) -> None:
    """The harvest accounts for every animal: its catch is to be logged by who ended the waiting."""
    line = Set.objects.values_list("line_id", flat=True).get(id=waiting.set_id)
    open_now(
        desk.team, DutyKind.LOG_CATCH, at=desk.at, moment=desk.received_at,
        who=desk.actor.member, of_line=line, waiting_id=waiting.id,
    )  # fmt: skip


def end_waiting(desk: Desk, body: CheckSaid) -> None:
    """The animal that was waiting is the one caught: the alarm is answered, the catch is logged."""
    waiting = Waiting.objects.filter(id=body.ends_waiting, set_id=body.set).first()
    if waiting is None:
        raise Held("ends_waiting", body.ends_waiting or body.check)
    kinds = [DutyKind.WAITING]
    if body.catches:
        kinds.append(DutyKind.LOG_CATCH)
    if not ends_in_effect().filter(waiting_id=waiting.id).exists():
        first = body.catches[0] if body.catches else None
        WaitingEnd.objects.create(
            **desk.written(),
            waiting_id=waiting.id,
            replaces_id=fallen_end(waiting.id),
            by_id=desk.actor.member,
            fate=first.fate if first else Fate.GOT_AWAY,
            means=first.means if first else "",
            condition=first.condition if first else "",
            handed_to=first.handed_to if first else "",
            reference=first.reference if first else "",
        )
    close(
        desk.team, *kinds, at=desk.at, moment=desk.received_at, act=desk.act,
        waiting_id=waiting.id,
    )  # fmt: skip


def reopen_waiting(desk: Desk, wrong: UUID, body: CheckSaid | None) -> None:
    """What a corrected check had answered is asked again, unless its correction answers it too.

    wrong: the act of the check that is corrected. Animals still waiting are told of anew.
    """
    for duty in done_by(wrong, DutyKind.WAITING, DutyKind.LOG_CATCH):
        answers = body is not None and body.ends_waiting == duty.waiting_id
        if answers and (duty.kind == DutyKind.WAITING or (body and body.catches)):
            done_under(duty, desk.act)
        else:
            reopen(duty, desk.received_at)
