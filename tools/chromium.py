"""The browser of the browser tests: one that is here, else the distribution's.

Ubuntu's `chromium` packages only fetch a snap, which a bare machine, a container or root
often cannot run, so there Playwright's own build is fetched instead.
"""

import os
import shutil
from pathlib import Path

from tools.say import Refusal
from tools.shell import run, watch

# The same engine without windows, which takes a quarter less of the processor.
LEAN = "chromium-headless-shell"
NAMES = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome")
ASK_PLAYWRIGHT = (
    "from playwright.sync_api import sync_playwright as start\n"
    "with start() as playwright: print(playwright.chromium.executable_path)"
)


def find(*, lean: bool = False) -> str | None:
    """The browser that LINEWARD_CHROMIUM names, or one on PATH that is not a snap's stub.

    `lean`: sooner one without windows, for tests; figures are taken with what people have.
    """
    named = os.environ.get("LINEWARD_CHROMIUM")
    if named:
        path = shutil.which(named)
        if path is None:
            raise Refusal(f"LINEWARD_CHROMIUM names {named}, which cannot be run. Correct it.")
        return path
    for name in (LEAN, *NAMES) if lean else NAMES:
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


def for_tests(python: Path, *, lean: bool) -> str:
    """A browser that can be run, fetched by Playwright when there is no other."""
    found = find(lean=lean)
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
