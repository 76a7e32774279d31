"""Show that a duty is done: the number of a report, a seal or a filing, its day, a note."""

from datetime import date
from typing import Annotated
from uuid import UUID

from pydantic import Field, StringConstraints

from trapline.duties.models import OPEN, Duty, Evidence
from trapline.duties.models import Kind as DutyKind
from trapline.duties.single import close_one
from trapline.ground.errors import Held, NeedsReview
from trapline.record.acting import Body, Desk, Kind

# The others are closed by what they ask for: a check, a pull, new dates.
BY_EVIDENCE = (DutyKind.REPORT, DutyKind.SEAL, DutyKind.SAMPLE, DutyKind.FILE)


class GiveEvidence(Body):
    """`on`: the day on which it was done, as the paper has it."""

    evidence: UUID
    duty: UUID
    number: Annotated[str, StringConstraints(strip_whitespace=True, max_length=120)] = ""
    on: date
    note: Annotated[str, Field(max_length=2000)] = ""


def apply(desk: Desk, body: GiveEvidence) -> None:
    duty = Duty.objects.select_for_update().filter(id=body.duty).first()
    if duty is None or not (desk.actor.leads or desk.overruled or _theirs(desk, duty)):
        raise Held("duty", body.duty)
    if duty.kind not in BY_EVIDENCE:
        raise NeedsReview("duty", "evidence_other_kind")
    if not body.number and not body.note.strip():
        raise NeedsReview("number", "evidence_empty")
    if duty.state not in OPEN:
        raise NeedsReview("duty", "duty_not_open")
    Evidence.objects.create(
        **desk.written(), id=body.evidence, duty_id=duty.id, by_id=desk.actor.member,
        number=body.number, on=body.on, note=body.note.strip(),
    )  # fmt: skip
    close_one(desk.team, duty.id, at=desk.at, moment=desk.received_at, act=desk.act)


def _theirs(desk: Desk, duty: Duty) -> bool:
    """Whether it is this member's: theirs to do, of their own catch, or of their licence."""
    me = desk.actor.member
    if duty.who_id == me:
        return True
    if duty.caught_id is not None:
        return bool(duty.caught.check_made.by_id == me)
    return bool(duty.licence_id is not None and duty.licence.holder_id == me)


KIND = Kind("give_evidence", {1: GiveEvidence}, apply)
