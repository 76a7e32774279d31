"""Finding what an earlier run left behind: only processes that can be told to be ours."""

import os
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path


def living() -> Iterator[int]:
    """The ids of all processes."""
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            yield int(entry.name)


def name_of(pid: int) -> str:
    """The program's short name; empty when the process is gone."""
    try:
        return Path(f"/proc/{pid}/comm").read_text().strip()
    except OSError:
        return ""


def folder_of(pid: int) -> Path | None:
    """The folder a process works in; None when it is gone or not ours to look at."""
    try:
        return Path(f"/proc/{pid}/cwd").readlink()
    except OSError:
        return None


def is_alive(pid: int) -> bool:
    """True while the process runs (a zombie does not)."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] not in "ZX"
    except (OSError, IndexError):
        return False


def marked(variable: str, value: str) -> list[int]:
    """Processes that carry `variable=value` in the environment they were started with."""
    wanted = f"{variable}={value}".encode()
    found = []
    for pid in living():
        try:
            inside = Path(f"/proc/{pid}/environ").read_bytes().split(b"\0")
        except OSError:
            continue
        if wanted in inside and pid != os.getpid() and is_alive(pid):
            found.append(pid)
    return found


def working_in(folder: Path, program: str) -> list[int]:
    """Processes of that name whose folder it is: every PostgreSQL process works in its data."""
    real = folder.resolve()
    return [pid for pid in living() if name_of(pid) == program and folder_of(pid) == real]


def until(condition: Callable[[], bool], seconds: float) -> bool:
    """Wait for the condition; False when it did not come in time."""
    end = time.monotonic() + seconds
    while not condition():
        if time.monotonic() > end:
            return False
        time.sleep(0.05)
    return True


def end(pids: list[int], seconds: float = 5) -> None:
    """Ask these processes to stop, and after `seconds` make them."""
    for sign in (signal.SIGTERM, signal.SIGKILL):
        for pid in pids:
            if is_alive(pid):
                with suppress(ProcessLookupError):
                    os.kill(pid, sign)
                    os.kill(pid, signal.SIGCONT)  # a stopped process would not hear us
        if until(lambda: not any(is_alive(pid) for pid in pids), seconds):
            return
