"""Waking a worker after commit. The tables are the queues: a lost wake-up costs a minute."""

import logging

from celery import current_app
from django.db import transaction

log = logging.getLogger(__name__)
DELIVER = "trapline.watch.tasks.deliver"
REDUE = "trapline.watch.tasks.redue"


def wake(task: str) -> None:
    """Ask a worker to run `task` once this transaction has committed."""
    transaction.on_commit(lambda: _send(task))


def _send(task: str) -> None:
    try:
        current_app.send_task(task, retry=False, ignore_result=True)
    except Exception:  # Redis away: beat's next round does the same
        log.warning("No worker could be woken for %s; the next round will do it.", task)
