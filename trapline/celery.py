"""Celery only wakes workers: the tables are the queues."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "trapline.settings")
# Django's checks belong to the tests; here they would load every page before the first task.
os.environ.setdefault("CELERY_SKIP_CHECKS", "1")
app = Celery("trapline")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["trapline.watch"])
app.conf.beat_schedule = {
    "sweep": {"task": "trapline.watch.tasks.sweep", "schedule": 60.0},
    "redue": {"task": "trapline.watch.tasks.redue", "schedule": 60.0},
    "deliver": {"task": "trapline.watch.tasks.deliver", "schedule": 60.0},
    "make_files": {"task": "trapline.watch.tasks.make_files", "schedule": 60.0},
    # Each hour: midnight comes to every team at another one.
    "nightly": {"task": "trapline.watch.tasks.nightly", "schedule": 3600.0},
}
