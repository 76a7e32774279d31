"""Run a piece of the program in a process of its own against the test database, and kill it."""

import os
import subprocess
import sys
import textwrap
from datetime import datetime

from django.conf import settings
from django.db import connection

START = """
import os, signal
import django
django.setup()
from datetime import datetime
moment = datetime.fromisoformat(os.environ["MOMENT"])
def die(*args, **kwargs):
    os.kill(os.getpid(), signal.SIGKILL)
"""


def run(code: str, moment: datetime) -> int:
    """Run `code` with `moment` and `die` at hand; the exit code (-9: killed)."""
    known = connection.settings_dict
    url = f"postgis://{settings.PROGRAM_ROLE}@/{known['HOST']}/{known['NAME']}"
    done = subprocess.run(
        [sys.executable, "-c", START + textwrap.dedent(code)],
        env={
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "trapline.settings",
            "DATABASE_URL": url,
            "MOMENT": moment.isoformat(),
        },
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    if done.returncode not in (0, -9):
        raise AssertionError(done.stderr)
    return done.returncode
