"""Pictures as a camera makes them, with what it writes beside them, and acts that tell of them."""

import hashlib
from io import BytesIO
from typing import Any
from uuid import UUID

from PIL import Image
from PIL.ExifTags import GPS, IFD, Base

CAMERA = "A camera of the tests"


def a_jpeg(size: tuple[int, int] = (64, 48), colour: str = "#446655", turned: int = 1) -> bytes:
    """A JPEG with EXIF: its camera, which way up it is, and where it was taken."""
    image = Image.new("RGB", size, colour)
    image.paste("#ffffff", (0, 0, size[0] // 2, size[1] // 2))  # the upper left corner is white
    exif = Image.Exif()
    exif[Base.Model], exif[Base.Orientation] = CAMERA, turned
    exif.get_ifd(IFD.GPSInfo)[GPS.GPSLatitude] = (61.0, 54.0, 0.0)
    made = BytesIO()
    image.save(made, "JPEG", exif=exif, comment=CAMERA)
    return made.getvalue()


def told_of(photo: UUID, check: UUID, raw: bytes) -> dict[str, Any]:
    """The body of the act that attaches it."""
    return {
        "photo": photo, "check": check, "sha256": hashlib.sha256(raw).hexdigest(), "size": len(raw),
    }  # fmt: skip
