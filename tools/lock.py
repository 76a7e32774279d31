"""One run at a time in a place; the lock ends with the process, however it ends."""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager

from tools.places import Place
from tools.say import Refusal


@contextmanager
def alone(place: Place, what: str) -> Iterator[None]:
    """Hold the place, or refuse with a sentence when another run holds it."""
    path = place.home / "lock"
    handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)  # closed in children by default
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            holder = os.read(handle, 20).decode().strip() or "unknown"
            raise Refusal(
                f"{what} is already running here (process {holder}). Use that one, or stop it "
                "with Ctrl-C in its terminal before you start another."
            ) from None
        os.ftruncate(handle, 0)
        os.write(handle, str(os.getpid()).encode())
        yield
    finally:
        os.close(handle)
