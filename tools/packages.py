"""What the distribution must bring, found first and installed by apt only where missing.

No service is enabled or started: PostgreSQL is kept from making its main cluster, and
Redis comes from `redis-tools`, whose one program is the server too and which has no service.
"""

import ctypes.util
import importlib.util
import os
import re
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tools import chromium, postgres, redis_server
from tools.say import Refusal, run_main, say
from tools.shell import must, run, watch

OLDEST_PYTHON = (3, 11)
NO_CLUSTER = Path("/etc/postgresql-common/createcluster.d/lineward.conf")
NO_START = Path("/usr/sbin/policy-rc.d")
OURS = "# Lineward's set-up is installing packages; it removes this file when done.\n"
QUIET = {"DEBIAN_FRONTEND": "noninteractive", "NEEDRESTART_SUSPEND": "1"}


def ensure(*, for_tests: bool) -> None:
    """Install what is missing, naming it; do nothing when all is there."""
    if sys.version_info < OLDEST_PYTHON:
        raise Refusal(
            f"This is Python {sys.version.split()[0]}; Lineward needs 3.11 or newer. Install it "
            "and call make with PYTHON=python3.11 (or a newer one)."
        )
    wanted = missing(for_tests=for_tests)
    if wanted:
        install(wanted)
        left = missing(for_tests=for_tests)
        if left:
            raise Refusal(f"Installed, but not found afterwards: {', '.join(left)}.")


def missing(*, for_tests: bool) -> list[str]:
    """Names of the packages that would bring what this machine lacks."""
    wanted = []
    if not postgres.installed():
        wanted.append("postgresql-*-postgis-3")
    elif not (ctypes.util.find_library("gdal") and ctypes.util.find_library("geos_c")):
        wanted.append("gdal-bin")
    if not ctypes.util.find_library("pangoft2-1.0"):  # lays out reports as PDF
        wanted.append("libpangoft2-1.0-0")
    if redis_server.program() is None:
        wanted.append("redis-tools")
    if importlib.util.find_spec("ensurepip") is None:
        wanted.append("python3-venv")
    if for_tests and chromium.find() is None and chromium.packaged():
        wanted.append("chromium")
    return wanted


def install(wanted: list[str]) -> None:
    """Install by apt, as root or through sudo."""
    if shutil.which("apt-get") is None:
        raise Refusal(
            f"Missing: {', '.join(wanted)}, and there is no apt here to install them. Install "
            "PostgreSQL 15 or newer with PostGIS 3, Redis, GDAL and Python's venv yourself, "
            "then start again."
        )
    if os.geteuid() != 0:
        _through_sudo(wanted)
        return
    say(f"Missing on this machine: {', '.join(wanted)}. Installing by apt, starting no service.")
    _apt("reading the package lists", "update")
    names = [_newest_postgis() if "*" in name else name for name in wanted]
    with _no_services():
        _apt(f"installing {' '.join(names)}", "install", "-y", "--no-install-recommends", *names)


def _through_sudo(wanted: list[str]) -> None:
    """Call this module again as root; only the installing needs it."""
    if shutil.which("sudo") is None:
        raise Refusal(
            f"Missing: {', '.join(wanted)}. You are not root and there is no sudo: ask whoever "
            "keeps this machine to call `make packages` as root here once."
        )
    say(f"Missing on this machine: {', '.join(wanted)}. Installing needs sudo.")
    here = Path(__file__).resolve().parent.parent
    command = ["sudo", "env", f"PYTHONPATH={here}", "PYTHONDONTWRITEBYTECODE=1", sys.executable]
    if os.spawnvp(os.P_WAIT, "sudo", [*command, "-m", "tools.packages", *wanted]) != 0:  # noqa: S606
        raise Refusal(
            "The packages could not be installed through sudo. Call `make packages` as root once, "
            "then start again."
        )


def _apt(what: str, *arguments: str) -> None:
    done = watch(["apt-get", "-q", *arguments], what, env=os.environ | QUIET)
    must(
        done,
        f"apt-get {arguments[0]}",
        "Look whether the machine reaches its package mirror (`apt-get update` shows it) and "
        "whether another installation is running, then start again.",
    )


def _newest_postgis() -> str:
    """The package for the distribution's newest PostgreSQL that is new enough."""
    names = must(run(["apt-cache", "pkgnames", "postgresql-"]), "apt-cache").split()
    found = [
        int(hit[1]) for name in names if (hit := re.fullmatch(r"postgresql-(\d+)-postgis-3", name))
    ]
    if not found or max(found) < postgres.OLDEST:
        raise Refusal(
            f"This distribution has no PostgreSQL {postgres.OLDEST} or newer with PostGIS 3. "
            "Debian 12 and Ubuntu 24.04 have."
        )
    return f"postgresql-{max(found)}-postgis-3"


@contextmanager
def _no_services() -> Iterator[None]:
    """Keep packages from making a cluster or starting anything; undo that afterwards."""
    _remove_ours()  # of a run that was killed
    placed = {NO_CLUSTER: f"{OURS}create_main_cluster = false\n"}
    if not NO_START.exists():  # where one exists, the machine's keeper decided
        placed[NO_START] = f"#!/bin/sh\n{OURS}exit 101\n"
    for path, text in placed.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
        path.chmod(0o755 if path == NO_START else 0o644)
    try:
        yield
    finally:
        _remove_ours()


def _remove_ours() -> None:
    for path in (NO_CLUSTER, NO_START):
        if path.exists() and OURS in path.read_text():
            path.unlink()


def main(arguments: list[str]) -> int:
    """Install the named packages, or whatever is missing (`--tests`: for the tests too)."""
    named = [argument for argument in arguments if not argument.startswith("-")]
    if named:
        install(named)
    else:
        ensure(for_tests="--tests" in arguments)
        say("Every package that Lineward needs is here.")
    return 0


if __name__ == "__main__":
    run_main(main)
