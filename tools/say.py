"""How the set-up speaks: one line a step, one sentence a refusal, never a traceback."""

import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType


class Refusal(Exception):
    """What is wrong, where, and what to do: shown to the person as it stands."""


def say(text: str = "") -> None:
    """Write one line to standard output at once (or to where the caller redirected it)."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


@contextmanager
def step(text: str) -> Iterator[None]:
    """Say what begins, and afterwards how long it took."""
    say(f"- {text} ...")
    began = time.monotonic()
    yield
    say(f"  done in {time.monotonic() - began:.1f} s")


def run_main(main: Callable[[list[str]], int]) -> None:
    """Run a command and leave with its exit status; a refusal is a sentence and status 1.

    Being told to stop is the same as Ctrl-C, so that what was begun is also tidied up.
    """
    for sign in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(sign, _interrupt)
    try:
        status = main(sys.argv[1:])
    except Refusal as refusal:
        sys.stdout.flush()
        sys.stderr.write(f"\n{refusal}\n")
        status = 1
    except KeyboardInterrupt:
        status = 130
    sys.exit(status)


def _interrupt(_sign: int, _frame: FrameType | None) -> None:
    raise KeyboardInterrupt
