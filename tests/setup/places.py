"""A place of its own for a test, in a short folder that the service account may enter."""

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tools import services
from tools.places import CHECKOUT, Place, sockets_for
from tools.shell import service_account


@contextmanager
def short_folder() -> Iterator[Path]:
    """A folder under /tmp that others may pass through (pytest's own is closed to them)."""
    folder = Path(tempfile.mkdtemp(prefix="lwt-"))
    folder.chmod(0o755)
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def own_place() -> Iterator[Place]:
    """A place with nothing in it; its services are stopped and it is removed afterwards."""
    with short_folder() as folder:
        home = folder / "home"
        place = Place("own", home, sockets_for(home), service_account(), fast=True, tests=True)
        place.make()
        try:
            yield place
        finally:
            services.stop(place)
            place.erase()


def up(command: str, **env: str) -> subprocess.CompletedProcess[str]:
    """Run `make demo`'s or `make run`'s own part to its end, without a terminal."""
    return subprocess.run(
        [sys.executable, "-m", "tools.up", command],
        cwd=CHECKOUT,
        env=os.environ | env,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=240,
        check=False,
    )


def assert_a_sentence(done: subprocess.CompletedProcess[str], *words: str) -> None:
    """It refused, in words for a person, and showed nothing of the program's inside."""
    said = done.stdout + done.stderr
    assert done.returncode == 1, said
    assert "Traceback" not in said
    for word in words:
        assert word in done.stderr, said
