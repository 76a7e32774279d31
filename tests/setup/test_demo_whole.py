"""`make demo`'s own part from nothing, as root in a closed folder at the end of a long path."""

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.setup.places import short_folder
from tools.places import CHECKOUT
from tools.processes import until

pytestmark = pytest.mark.long
LONG = Path("/".join("a" * 49 for _ in range(3)))  # 149 characters
LEFT_OUT = (".venv", ".local", ".git", ".*_cache", "__pycache__", "tests")
AGAIN_WITHIN = 10.0  # seconds, for a second start on a machine with nothing else to do


@pytest.fixture(scope="module")
def checkout() -> Iterator[Path]:
    """A copy of this checkout, without what a first start makes."""
    with short_folder() as folder:
        folder.chmod(0o700)
        copy = folder / LONG / "lineward"
        shutil.copytree(CHECKOUT, copy, ignore=shutil.ignore_patterns(*LEFT_OUT))
        try:
            yield copy
        finally:
            subprocess.run([sys.executable, "-m", "tools.clean"], cwd=copy, check=True)


class Demo:
    """A start of the demo in the copy; what it said so far can be read."""

    def __init__(self, checkout: Path) -> None:
        with socket.create_server(("127.0.0.1", 0)) as probe:
            self.port = int(probe.getsockname()[1])
        self.words = checkout.parent / f"said-{self.port}"
        self.began = time.monotonic()
        with self.words.open("w") as sink:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "tools.up", "demo"],
                cwd=checkout,
                env=os.environ | {"PORT": str(self.port)},
                stdin=subprocess.DEVNULL,
                stdout=sink,
                stderr=subprocess.STDOUT,
            )

    def wait_for(self, words: str, seconds: float) -> str:
        """All that was said once the words were; the words must come."""
        until(lambda: words in self.words.read_text() or self.process.poll() is not None, seconds)
        said = self.words.read_text()
        assert words in said, said
        return said


def test_a_first_start_cut_off_while_loading_is_begun_again_and_the_next_is_quick(
    checkout: Path,
) -> None:
    cut = Demo(checkout)
    cut.wait_for("- loading the invented team", 240)
    time.sleep(1)
    cut.process.kill()
    cut.process.wait()
    assert (checkout / ".local" / "demo" / "demo-unfinished").exists()

    whole = Demo(checkout)
    said = whole.wait_for("Ctrl-C stops everything", 600)
    assert "cut off while it loaded the demo; beginning again" in said
    sign_ins = (checkout / ".local" / "demo" / "sign-ins.txt").read_text().strip()
    assert sign_ins and sign_ins in said
    with urllib.request.urlopen(f"http://127.0.0.1:{whole.port}/healthz", timeout=5) as page:
        assert page.status == 200
    whole.process.send_signal(signal.SIGINT)
    assert whole.process.wait(30) == 0

    busy = os.getloadavg()[0]
    again = Demo(checkout)
    said = again.wait_for("Ctrl-C stops everything", 60)
    seconds = time.monotonic() - again.began
    again.process.send_signal(signal.SIGINT)
    assert again.process.wait(30) == 0
    assert "loading the invented team" not in said
    assert sign_ins in said
    if busy > len(os.sched_getaffinity(0)):
        pytest.skip(f"took {seconds:.1f} s, but the machine was busy: load {busy:.1f}")
    assert seconds < AGAIN_WITHIN, f"a second start took {seconds:.1f} s"
