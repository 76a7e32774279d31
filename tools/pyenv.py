"""The project's own Python environment, made from the pinned requirements with their hashes."""

import hashlib
import os
import sys
from pathlib import Path

from tools.places import CHECKOUT
from tools.say import step
from tools.shell import must, run, watch

HOME = CHECKOUT / ".venv"
PYTHON = HOME / "bin" / "python"
TO_RUN = CHECKOUT / "deploy" / "requirements.txt"  # a part of the next, with the same pins
TO_TEST = CHECKOUT / "requirements.txt"
STAMP = HOME / "lineward-stamp"


def ensure(*, for_tests: bool) -> Path:
    """Make or complete `.venv` and return its Python; instant when nothing changed."""
    pins = TO_TEST if for_tests else TO_RUN
    wanted = _wanted(pins)
    enough = {wanted, _wanted(TO_TEST)}
    if _stamp() in enough and PYTHON.exists():
        return PYTHON
    if not _whole():
        with step("making .venv"):
            done = run([sys.executable, "-m", "venv", "--clear", HOME])
            must(done, "Making .venv", "Install the package python3-venv, then start again.")
    done = watch(
        [
            *(PYTHON, "-m", "pip", "install", "--require-hashes", "--no-deps"),
            *("--disable-pip-version-check", "--root-user-action=ignore"),
            *("--progress-bar", "off", "-r", pins),
        ],
        "installing the pinned Python packages into .venv (a few minutes the first time)",
        env=dict(os.environ),
    )
    must(
        done,
        "Installing the Python packages",
        "Look whether the machine reaches its package index, then start again; what was "
        "fetched is kept.",
    )
    STAMP.write_text(wanted)
    return PYTHON


def _wanted(pins: Path) -> str:
    digest = hashlib.sha256(pins.read_bytes()).hexdigest()
    return f"{digest} {sys.version_info.major}.{sys.version_info.minor} {CHECKOUT}"


def _stamp() -> str:
    try:
        return STAMP.read_text()
    except FileNotFoundError:
        return ""


def _whole() -> bool:
    """True when `.venv` runs, is of this Python version, and has pip."""
    if not PYTHON.exists():
        return False
    ask = "import pip, sys; print(*sys.version_info[:2], sep='.')"
    ours = f"{sys.version_info.major}.{sys.version_info.minor}"
    return run([PYTHON, "-c", ask]).stdout.strip() == ours
