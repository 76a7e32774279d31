"""Two valleys for all tests of a worker: building one takes some seconds."""

from functools import lru_cache
from pathlib import Path

import pytest

from trapline.demo.terrain.build import build
from trapline.demo.terrain.draw.tiles import Rendered, render_tiles
from trapline.demo.terrain.model import Terrain

SEED, OTHER = 7, 11


@lru_cache(maxsize=2)
def made(seed: int) -> Terrain:
    return build(seed)


@pytest.fixture(scope="session")
def valley() -> Terrain:
    return made(SEED)


@pytest.fixture(scope="session", params=[SEED, OTHER])
def any_valley(request: pytest.FixtureRequest) -> Terrain:
    """Each of two valleys: what holds for one seed by luck does not count."""
    return made(request.param)


@pytest.fixture(scope="session")
def tiles(
    valley: Terrain, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, Rendered, range]:
    """(folder, what was written, zooms) of the smaller zooms in both variants."""
    folder, zooms = tmp_path_factory.mktemp("tiles"), range(9, 13)
    return folder, render_tiles(valley, folder, zooms), zooms
