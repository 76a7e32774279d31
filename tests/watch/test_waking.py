"""A process that takes acts in knows where the workers are."""

import os
import subprocess
import sys

import pytest
from django.conf import settings

SAID = "from celery import current_app; print(current_app.conf.broker_url)"
BEGINNINGS = {
    "web": "import trapline.wsgi",
    "manage.py": (
        "import contextlib, io, runpy, sys\n"
        "sys.argv = ['manage.py', 'help']\n"
        "with contextlib.redirect_stdout(io.StringIO()):\n"
        "    runpy.run_path('manage.py', run_name='__main__')"
    ),
}


@pytest.mark.parametrize("process", BEGINNINGS)
def test_it_wakes_them_through_the_redis_of_the_settings(process: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", f"{BEGINNINGS[process]}\n{SAID}"],
        capture_output=True, text=True, check=True, cwd=settings.BASE_DIR,
    )  # fmt: skip
    assert "redis" in done.stdout
    assert "amqp" not in done.stdout


WITHOUT_REDIS = (
    "import trapline.wsgi, time\n"
    "from trapline.ground.wake import DELIVER, _send\n"
    "began = time.monotonic(); _send(DELIVER); print(time.monotonic() - began)"
)


def test_nobody_waits_for_a_redis_that_is_away() -> None:
    """The page of an alarm once took two seconds longer for each wake-up."""
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT_REDIS],
        env=os.environ | {"REDIS_URL": "unix:///nowhere/redis.sock?db=0"},
        capture_output=True, text=True, check=True, cwd=settings.BASE_DIR,
    )  # fmt: skip
    assert "No worker could be woken" in done.stderr
    assert float(done.stdout) < 1
