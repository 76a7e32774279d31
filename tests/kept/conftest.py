"""One short season for all tests of this folder: a marten and a lynx, the marten's numbers."""

import pytest

from tests.reports.season import Caught, season
from tests.world import World


@pytest.fixture
def caught(world: World) -> Caught:
    """The season of tests/reports/season.py."""
    return season(world)
