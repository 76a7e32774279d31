"""One run at a time in a place; the lock ends with the process, however it ends."""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager

from tools.places import Place
from tools.processes import until
from tools.say import Refusal


@contextmanager
def alone(place: Place, what: str, patience: float = 0) -> Iterator[None]:
    """Hold the place, or refuse with a sentence when another run holds it for too long."""
    path = place.home / "lock"
    handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)  # closed in children by default
    try:
        if not until(lambda: _taken(handle), patience):
            holder = os.read(handle, 20).decode().strip() or "unknown"
            raise Refusal(
                f"{what} is already running here (process {holder}). Use that one, or stop it "
                f"with Ctrl-C in its terminal (or: kill {holder}) before you start another."
            )
        os.ftruncate(handle, 0)
        os.write(handle, str(os.getpid()).encode())
        yield
    finally:
        os.close(handle)


def _taken(handle: int) -> bool:
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
