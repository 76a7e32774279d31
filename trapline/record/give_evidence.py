"""Show that a duty is done: the number on a paper or a seal, its day, a note, a photograph."""

from datetime import date
from typing import Annotated
from uuid import UUID

from pydantic import Field, StringConstraints

from trapline.binding.world import World
from trapline.duties.models import OPEN, Duty, Evidence
from trapline.duties.models import Kind as DutyKind
from trapline.duties.single import close_one
from trapline.findings.animals import refresh_animals
from trapline.ground.errors import Held, NeedsReview
from trapline.lines.models import Catch, Photo
from trapline.record.acting import Body, Desk, Kind

# The others are closed by what they ask for: a check, a pull, new dates.
BY_EVIDENCE = (DutyKind.REPORT, DutyKind.SEAL, DutyKind.SAMPLE, DutyKind.FILE)


class GiveEvidence(Body):
    """`on`: the day on which it was done, as the paper has it. `photo`: of the paper or the seal,

    attached to the check at which the animal was found.
    """

    evidence: UUID
    duty: UUID
    number: Annotated[str, StringConstraints(strip_whitespace=True, max_length=120)] = ""
    on: date
    note: Annotated[str, Field(max_length=2000)] = ""
    photo: UUID | None = None


def apply(desk: Desk, body: GiveEvidence) -> None:
    duty = Duty.objects.select_for_update().filter(id=body.duty).first()
    if duty is None or not (desk.actor.leads or desk.overruled or _theirs(desk, duty)):
        raise Held("duty", body.duty)
    if duty.kind not in BY_EVIDENCE:
        raise NeedsReview("duty", "evidence_other_kind")
    if not body.number and not body.note.strip() and body.photo is None:
        raise NeedsReview("number", "evidence_empty")
    if duty.state not in OPEN:
        raise NeedsReview("duty", "duty_not_open")
    if body.photo is not None and not _of_the_animal(duty, body.photo):
        raise Held("photo", body.photo)
    Evidence.objects.create(
        **desk.written(), id=body.evidence, duty_id=duty.id, by_id=desk.actor.member,
        number=body.number, on=body.on, note=body.note.strip(), photo_id=body.photo,
    )  # fmt: skip
    close_one(desk.team, duty.id, at=desk.at, moment=desk.received_at, act=desk.act)
    if duty.caught_id is not None:
        refresh_animals(desk.team, World(desk.received_at))


def _of_the_animal(duty: Duty, photo: UUID) -> bool:
    """Whether the photograph belongs to the check at which the duty's animal was found."""
    check = Catch.objects.filter(id=duty.caught_id).values("check_made")
    return bool(Photo.objects.filter(id=photo, check_made__in=check).exists())


def _theirs(desk: Desk, duty: Duty) -> bool:
    """Whether it is this member's: theirs to do, of their own catch, or of their licence."""
    me = desk.actor.member
    if duty.who_id == me:
        return True
    if duty.caught_id is not None:
        return bool(duty.caught.check_made.by_id == me)
    return bool(duty.licence_id is not None and duty.licence.holder_id == me)


KIND = Kind("give_evidence", {1: GiveEvidence}, apply)
