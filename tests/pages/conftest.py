"""A moment that does not run away, and browsers in which the cast is signed in."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from django.test import Client

from tests.pages.cast import client_of
from tests.world import START, World

Clock = Callable[[datetime], None]


@pytest.fixture
def at(monkeypatch: pytest.MonkeyPatch) -> Clock:
    """Sets what every page and act takes for now."""

    def put(moment: datetime) -> None:
        monkeypatch.setattr("trapline.ground.clock.machine", lambda: moment)

    put(START + timedelta(hours=2))
    return put


@pytest.fixture
def student(world: World, at: Clock) -> Client:
    """The student's browser."""
    return client_of(world.student)


@pytest.fixture
def instructor(world: World, at: Clock) -> Client:
    """The instructor's browser."""
    return client_of(world.instructor)


@pytest.fixture
def manager(world: World, at: Clock) -> Client:
    """The manager's browser."""
    return client_of(world.manager)
