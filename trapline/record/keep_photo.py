"""A photograph's file comes in: whole, once, as the phone made it."""

import hashlib
from datetime import datetime
from io import BytesIO
from uuid import UUID

from django.db import transaction
from PIL import Image, ImageOps, UnidentifiedImageError

from trapline.ground import sql
from trapline.ground.errors import Problem, Refused
from trapline.journal.models import MOST_PHOTO_BYTES, PhotoSent
from trapline.lines.models import Photo
from trapline.people.rights import Actor

FRESH, KNOWN, CONFLICT = "fresh", "known", "conflict"
MEDIA = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
LONGEST = 1600  # pixels: what is written on a seal can still be read
QUALITIES = (85, 70, 50, 30)
MOST_PIXELS = 40_000_000  # a phone's largest; a small file can unpack into far more


def keep_photo(
    sender: Actor, photo: UUID, raw: bytes, *, said_sha256: str = "", received_at: datetime
) -> str:
    """Keep a file under the phone's id: fresh, known (the same again) or conflict.

    Raises Refused for what is no picture, too large, or did not arrive as it was sent. At most
    three statements, in one transaction.
    """
    digest = hashlib.sha256(raw).digest()
    media_type = _media_type(raw)
    if said_sha256 and said_sha256.lower() != digest.hex():
        raise Refused(Problem("body", "photo_damaged"))
    with transaction.atomic():
        told = Photo.objects.filter(id=photo).values_list("sha256", flat=True).first()
        if told is not None and bytes(told) != digest:
            return CONFLICT
        values = {
            "id": photo, "team": sender.team, "media_type": media_type, "bytes": raw,
            "sent_by": sender.member, "received_at": received_at,
        }  # fmt: skip
        if sql.run("trapline.record", "keep_photo", values):
            return FRESH
        there = PhotoSent.objects.filter(id=photo).values_list("sha256", flat=True).first()
        return KNOWN if there is not None and bytes(there) == digest else CONFLICT


def to_size(raw: bytes) -> bytes:
    """Any picture as a phone sends one: its longer side at most LONGEST, a JPEG that may be kept.

    Raises Refused for what is no picture. The camera's own notes are left behind.
    """
    drawn = ImageOps.exif_transpose(_picture(raw)).convert("RGB")
    drawn.thumbnail((LONGEST, LONGEST))
    for quality in QUALITIES:
        made = BytesIO()
        drawn.save(made, "JPEG", quality=quality)
        if made.tell() <= MOST_PHOTO_BYTES:
            return made.getvalue()
    raise Refused(Problem("body", "too_large", {"most": MOST_PHOTO_BYTES}))


def _media_type(raw: bytes) -> str:
    """What the bytes are, whatever they were called."""
    if len(raw) > MOST_PHOTO_BYTES:
        raise Refused(Problem("body", "too_large", {"most": MOST_PHOTO_BYTES}))
    return MEDIA[_picture(raw).format or ""]


def _picture(raw: bytes) -> Image.Image:
    """The picture, read to its last row: half a picture is none."""
    try:
        image = Image.open(BytesIO(raw), formats=list(MEDIA))
        if image.width * image.height > MOST_PIXELS:
            raise ValueError(image.size)
        image.load()
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        raise Refused(Problem("body", "not_a_photo")) from None
    return image
