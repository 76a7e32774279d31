"""The demo twice into the same emptiness: the same seed and moment make the same record."""

from typing import Any

import pytest
from django.db import transaction

from tests.demo.terrain.conftest import made
from tests.demo.test_load import NOW, SEED, digests, nobody_there  # noqa: F401 - a fixture
from trapline.demo.load import load
from trapline.demo.story.tell import tell

pytestmark = pytest.mark.long


def test_the_same_seed_makes_the_same_record(django_db_blocker: Any) -> None:
    story, records = tell(made(SEED), SEED, NOW, small=True), []
    with django_db_blocker.unblock():
        for _ in range(2):
            with transaction.atomic():
                load(story)
                records.append(digests())
                transaction.set_rollback(True)
    assert records[0] == records[1]
