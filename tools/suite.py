"""`make test` and `make bench`: private services up, every check run, services down again."""

import os
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from tools import services
from tools.lock import alone
from tools.places import CHECKOUT, local_place
from tools.say import Refusal, run_main, say
from tools.up import MARK, end_leftovers

PROGRAMS = Path(sys.executable).parent
CHECKS: dict[str, Sequence[str | Path]] = {
    "style (ruff)": (PROGRAMS / "ruff", "check", "."),
    "layout (ruff format)": (PROGRAMS / "ruff", "format", "--check", "--quiet", "."),
    "types (mypy)": (PROGRAMS / "mypy", "."),
    "floors (import-linter)": (
        *(sys.executable, "-c"),
        "import sys; sys.path.insert(0, '.'); "
        "from importlinter.cli import lint_imports_command as main; main()",
    ),
}
# Made while the checks run: the pages name their files by their hashes, and each process of the
# tests copies one migrated database.
READY: dict[str, Sequence[str | Path]] = {
    "collecting the pages' style and scripts": (
        *(sys.executable, "manage.py", "collectstatic", "--noinput", "-v", "0", "--skip-checks"),
    ),
    "making the tests' database": (sys.executable, "-m", "tests.databases"),
}


def main(arguments: list[str]) -> int:
    command, *rest = arguments or [""]
    if command not in ("test", "bench"):
        raise Refusal("Say test or bench.")
    place = local_place(command)
    place.make()
    with alone(place, f"make {command}"):
        end_leftovers(place)
        try:
            services.start(place)
            env = os.environ | services.environment(place) | {MARK: place.mark}
            # Three dozen processes load the same files: each but the first finds them compiled.
            env.pop("PYTHONDONTWRITEBYTECODE", None)
            return _bench(env, rest) if command == "bench" else _test(env, rest)
        finally:
            end_leftovers(place)
            services.stop(place)


def _test(env: dict[str, str], rest: list[str]) -> int:
    begun = _begin(env)
    failed = [name for name, check in CHECKS.items() if not _passes(name, check, env)]
    if (status := _ended(begun)) != 0:
        return status
    # One process more than cores: a browser test waits now and then for the browser's own clock.
    processes = len(os.sched_getaffinity(0)) + 1
    # A file's tests share what is slow to make; groups are not kept by xdist 3.8 on pytest 9.2.
    spread = ["-n", str(processes), "--dist", "loadfile", "--no-loadscope-reorder"]
    usual = [*spread, "-m", "not bench and not long"]
    status = _pytest(env, [*usual, *rest])
    for name in failed:
        sys.stderr.write(f"Failed before the tests: {name}; its words stand above.\n")
    return status or int(bool(failed))


def _bench(env: dict[str, str], rest: list[str]) -> int:
    if (status := _ended(_begin(env))) != 0:
        return status
    return _pytest(env, ["-n", "0", "-m", "bench", "-s", "tests/bench", *rest])


def _begin(env: dict[str, str]) -> dict[str, subprocess.Popen[bytes]]:
    say(f"- {' and '.join(READY)} ...")
    return {
        name: subprocess.Popen(  # noqa: S603 - our own commands
            [str(part) for part in command], env=env, cwd=CHECKOUT, stdin=subprocess.DEVNULL
        )
        for name, command in READY.items()
    }


def _ended(begun: dict[str, subprocess.Popen[bytes]]) -> int:
    """Wait for all; 0, or the status of the first that failed, whose words stand above."""
    failed = {name: status for name, one in begun.items() if (status := one.wait()) != 0}
    for name in failed:
        sys.stderr.write(f"Failed before the tests: {name}; its words stand above.\n")
    return next(iter(failed.values()), 0)


def _pytest(env: dict[str, str], arguments: list[str]) -> int:
    say("- running the tests ...")
    return _call([sys.executable, "-m", "pytest", *arguments], env)


def _passes(name: str, check: Sequence[str | Path], env: dict[str, str]) -> bool:
    say(f"- checking {name} ...")
    began = time.monotonic()
    good = _call(check, env) == 0
    say(f"  {'passed' if good else 'FAILED'} in {time.monotonic() - began:.1f} s")
    return good


def _call(command: Sequence[str | Path], env: dict[str, str]) -> int:
    parts = [str(part) for part in command]
    return subprocess.run(  # noqa: S603 - our own commands
        parts, env=env, cwd=CHECKOUT, stdin=subprocess.DEVNULL, check=False
    ).returncode


if __name__ == "__main__":
    run_main(main)
