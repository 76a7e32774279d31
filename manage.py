#!/usr/bin/env python3
"""Django's command line for Lineward."""

import os
import sys

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "trapline.settings")
    from django.core.management import execute_from_command_line

    import trapline.celery  # noqa: F401 - an act from here wakes the workers too

    execute_from_command_line(sys.argv)
