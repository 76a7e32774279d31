"""A process that takes acts in knows where the workers are."""

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
