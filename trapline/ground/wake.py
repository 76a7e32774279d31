"""Waking a worker after commit. The tables are the queues: a lost wake-up costs a minute."""

import logging
import time

from celery import current_app
from django.db import transaction

log = logging.getLogger(__name__)
DELIVER = "trapline.watch.tasks.deliver"
REDUE = "trapline.watch.tasks.redue"
MAKE_FILES = "trapline.watch.tasks.make_files"
# After a failure nobody is woken for so long: a Redis that does not answer holds each try up for a
# second, and a phone's batch of a hundred acts must not wait for each.
AWAY_S = 30.0


class _Workers:
    away_until = 0.0


def wake(task: str) -> None:
    """Ask a worker to run `task` once this transaction has committed."""
    transaction.on_commit(lambda: _send(task))


def _send(task: str) -> None:
    if time.monotonic() < _Workers.away_until:
        return
    try:
        current_app.send_task(task, retry=False, ignore_result=True)
    except Exception:  # Redis away: beat's next round does the same
        _Workers.away_until = time.monotonic() + AWAY_S
        log.warning("No worker could be woken for %s; the next round will do it.", task)
