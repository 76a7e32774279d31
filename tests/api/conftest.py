"""The cast of callers."""

import pytest

from tests.api.caller import Cast, cast_of
from tests.world import World


@pytest.fixture
def cast(world: World, other_world: World) -> Cast:
    """Callers of every role; see tests/api/caller.py."""
    return cast_of(world, other_world)
