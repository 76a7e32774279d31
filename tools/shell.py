"""Running other programs, as the caller or as the account that owns the private services."""

import os
import pwd
import subprocess
import tempfile
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from tools.say import Refusal, say

HEARTBEAT = 10.0  # seconds between two lines of a slow step
PASSED_ON = ("PATH", "LANG", "TZ", "TMPDIR")


@dataclass(frozen=True)
class Account:
    """An unprivileged account that runs PostgreSQL and Redis when root calls."""

    name: str
    uid: int
    gid: int


def service_account() -> Account | None:
    """The account for the private services; None means the caller's own.

    Root may not run PostgreSQL. The `postgres` account is used because the PostgreSQL
    package always makes it, so nothing is added to the machine, and because `nobody`
    is shared with unrelated daemons that could then read the data.
    """
    if os.geteuid() != 0:
        return None
    try:
        entry = pwd.getpwnam("postgres")
    except KeyError:
        raise Refusal(
            "You are root, and PostgreSQL refuses to run as root; the account `postgres` that "
            "would run it is missing. Install the package `postgresql`, or call make as an "
            "ordinary user."
        ) from None
    return Account(entry.pw_name, entry.pw_uid, entry.pw_gid)


def run(
    command: Sequence[str | Path],
    *,
    account: Account | None = None,
    env: Mapping[str, str] | None = None,
    cwd: Path | None = None,
    stdin: str | None = None,
) -> subprocess.CompletedProcess[str]:
    """Run a program to its end and return status and output (both streams in stdout).

    With an account, it runs as that account with a bare environment, in `/`, since the
    account may not enter the caller's folder.
    """
    if account is not None:
        env = {key: os.environ[key] for key in PASSED_ON if key in os.environ} | dict(env or {})
        cwd = cwd or Path("/")
    return subprocess.run(  # noqa: S603 - every command is ours, none is built from input
        [str(part) for part in command],
        user=account.uid if account else None,
        group=account.gid if account else None,
        extra_groups=[] if account else None,
        env=env,
        cwd=cwd,
        input=stdin if stdin is not None else "",
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )


def watch(
    command: Sequence[str | Path], what: str, *, env: Mapping[str, str] | None = None
) -> subprocess.CompletedProcess[str]:
    """Run a slow program as the caller, saying every few seconds what it is at."""
    say(f"- {what} ...")
    began = said = time.monotonic()
    parts = [str(part) for part in command]
    with tempfile.TemporaryFile("w+b") as sink:
        process = subprocess.Popen(  # noqa: S603 - as above
            parts, env=env, stdin=subprocess.DEVNULL, stdout=sink, stderr=subprocess.STDOUT
        )
        try:
            while process.poll() is None:
                time.sleep(0.1)
                if time.monotonic() - said > HEARTBEAT:
                    said = time.monotonic()
                    say(f"  {said - began:.0f} s: {_last_line(sink.fileno())}")
        except BaseException:
            process.terminate()
            process.wait()
            raise
        sink.seek(0)
        output = sink.read().decode(errors="replace")
    if process.returncode == 0:
        say(f"  done in {time.monotonic() - began:.1f} s")
    return subprocess.CompletedProcess(parts, process.returncode, output)


def _last_line(descriptor: int) -> str:
    size = os.fstat(descriptor).st_size
    tail = os.pread(descriptor, 2000, max(0, size - 2000)).decode(errors="replace")
    lines = [line.strip() for line in tail.replace("\r", "\n").splitlines() if line.strip()]
    return lines[-1][:90] if lines else "..."


def must(done: subprocess.CompletedProcess[str], what: str, hint: str = "") -> str:
    """The output of a program that had to succeed; otherwise a refusal with its last lines."""
    if done.returncode == 0:
        return done.stdout
    lines = [line for line in done.stdout.splitlines() if line.strip()][-6:]
    said = "\n".join(f"    {line}" for line in lines) or "    (it said nothing)"
    raise Refusal(f"{what} failed. It said:\n{said}" + (f"\n{hint}" if hint else ""))
