"""A photograph belongs to a check: its id and hash as the phone made them. The file comes apart."""

from typing import Annotated
from uuid import UUID

from pydantic import Field, StringConstraints

from trapline.ground.errors import Held, NeedsReview
from trapline.journal.models import MOST_PHOTO_BYTES
from trapline.lines.models import Check, Photo
from trapline.record.acting import Body, Desk, Kind

Sha256 = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]


class AttachPhoto(Body):
    """`sha256`: of the whole file, in lower-case hexadecimal; `size`: its bytes."""

    photo: UUID
    check: UUID
    sha256: Sha256
    size: Annotated[int, Field(ge=1, le=MOST_PHOTO_BYTES)]


def apply(desk: Desk, body: AttachPhoto) -> None:
    made_by = Check.objects.filter(id=body.check).values_list("by_id", flat=True).first()
    theirs = desk.actor.leads or desk.overruled or made_by == desk.actor.member
    if made_by is None or not theirs:
        raise Held("check", body.check)
    if Photo.objects.filter(id=body.photo).exists():
        raise NeedsReview("photo", "photo_attached_before")
    Photo.objects.create(
        **desk.written(), id=body.photo, check_made_id=body.check,
        sha256=bytes.fromhex(body.sha256), size=body.size,
    )  # fmt: skip


KIND = Kind("attach_photo", {1: AttachPhoto}, apply)
