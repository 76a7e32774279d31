"""The web server's entry."""

import os

from django.core.wsgi import get_wsgi_application

import trapline.celery  # noqa: F401 - without it, nobody would know where the workers are

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "trapline.settings")
application = get_wsgi_application()
