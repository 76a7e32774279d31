"""The browser of the browser tests: one that is here, else the distribution's.

Ubuntu's `chromium` packages only fetch a snap, which a bare machine, a container or root
often cannot run, so there Playwright's own build is fetched instead.
"""

import os
import shutil
from pathlib import Path

from tools.say import Refusal
from tools.shell import run, watch

NAMES = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome")
ASK_PLAYWRIGHT = (
    "from playwright.sync_api import sync_playwright as start\n"
    "with start() as playwright: print(playwright.chromium.executable_path)"
)


def find() -> str | None:
    """The browser that LINEWARD_CHROMIUM names, or one on PATH that is not a snap's stub."""
    named = os.environ.get("LINEWARD_CHROMIUM")
    if named:
        if shutil.which(named) is None:
            raise Refusal(f"LINEWARD_CHROMIUM names {named}, which cannot be run. Correct it.")
        return named
    for name in NAMES:
        path = shutil.which(name)
        if path and not _only_fetches_a_snap(Path(path)):
            return path
    return None


def packaged() -> bool:
    """Does apt have a real chromium here? Debian does; Ubuntu's only fetches a snap."""
    try:
        return "ID=ubuntu" not in Path("/etc/os-release").read_text().splitlines()
    except FileNotFoundError:
        return False


def for_tests(python: Path) -> str:
    """A browser that can be run, fetched by Playwright when there is no other."""
    found = find()
    if found:
        return found
    path = run([python, "-c", ASK_PLAYWRIGHT]).stdout.strip()
    if not Path(path).is_file():
        done = watch(
            [python, "-m", "playwright", "install", "--with-deps", "chromium"],
            "fetching Chromium for the browser tests through Playwright",
            env=dict(os.environ),
        )
        if done.returncode != 0 or not Path(path).is_file():
            raise Refusal(
                "The browser tests need Chromium. This distribution has it only as a snap, and "
                "Playwright could not fetch its own build. Install a Chromium or Chrome and name "
                "it: LINEWARD_CHROMIUM=/path/to/chromium make test"
            )
    return path


def _only_fetches_a_snap(path: Path) -> bool:
    if path.resolve().name == "snap":
        return True
    with path.open("rb") as program:
        return b"snap" in program.read(2000) and path.stat().st_size < 10_000
