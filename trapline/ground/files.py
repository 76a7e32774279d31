"""What holds for every file that a person sends: it has something in it, and not too much."""

from trapline.ground.errors import Problem, Refused

MOST_BYTES = 2 * 1024 * 1024


def bounded(raw: bytes) -> None:
    """Refuse a file that is empty or larger than is taken."""
    if not raw.strip():
        raise Refused(Problem("file", "file_empty"))
    if len(raw) > MOST_BYTES:
        values = {"size": len(raw), "most": MOST_BYTES}
        raise Refused(Problem("file", "file_too_large", values))
