"""The queue against any order of events, on the real store: nothing lost, nothing twice."""

import random
from pathlib import Path
from typing import Any

import pytest

from tests.browser.conftest import PHONE, Visit
from tests.pages.cast import client_of
from tests.world import World

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# A server that takes each act once, by its id and bytes, and an order of events for it.
PLAY = (Path(__file__).parent / "phone_queue_play.js").read_text()
EVENTS = ("log", "log", "log", "undo", "answered", "lost", "never", "twice", "killed", "both")


def test_whatever_happens_each_act_is_there_once_in_order(north: World, visit: Any) -> None:
    seen: Visit = visit(client_of(north.student), PHONE)
    page = seen.to("/settings/")  # a page of the same origin that opens no store of its own
    seed = random.randrange(2**32)
    chance = random.Random(seed)
    for story in range(60):
        steps = [
            (chance.choice(EVENTS), chance.randrange(2), chance.randrange(100))
            for _ in range(chance.randrange(1, 25))
        ]
        ended = page.evaluate(PLAY, [steps, f"{seed}-{story}"])
        assert ended["left"] == [], (seed, steps)
        for person in ended["order"]:
            assert person["taken"] == person["owed"], (seed, steps)
