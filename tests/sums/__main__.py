"""Play random seasons and compare every report with the acts' bytes: python -m tests.sums [seasons]

Each season is a transaction of its own that is rolled back: in one long transaction nothing that
was rolled back can be cleared away, and every season is slower than the one before.
"""

from __future__ import annotations

import os
import random
import sys
import time

import django


def main(seasons: int) -> None:
    from django.conf import settings
    from django.db import connection, transaction

    from tests.databases import own_database
    from tests.sums.seasons import draw, season

    settings.PASSWORD_HASHERS = ["tests.hashing.QuickArgon2"]
    say = sys.stdout.write
    with own_database() as name:
        connection.settings_dict["NAME"] = settings.DATABASES["default"]["NAME"] = name
        begun, acts = time.perf_counter(), 0
        for seed in range(seasons):
            story = draw(random.Random(seed))
            with transaction.atomic():
                try:
                    season(f"season-{seed}", story)
                except BaseException:
                    say(f"season {seed}: differs\n")
                    raise
                transaction.set_rollback(True)
            acts += len(story.looks) + len(story.corrections)
            spent = time.perf_counter() - begun
            if (seed + 1) % 10 == 0 or seed + 1 == seasons:
                left = spent / (seed + 1) * (seasons - seed - 1)
                say(f"{seed + 1} of {seasons} seasons agree, {spent:.0f} s; {left:.0f} s to go\n")
                sys.stdout.flush()
        connection.close()
    say(f"{seasons} seasons with {acts} looks and corrections: every report sums to the acts\n")


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "trapline.settings")
    django.setup()
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
