"""Two valleys for all tests of a run: building one takes some seconds."""

import fcntl
import os
import pickle
import tempfile
from functools import lru_cache
from pathlib import Path

import pytest

from trapline.demo.terrain.build import build
from trapline.demo.terrain.draw.tiles import Rendered, render_tiles
from trapline.demo.terrain.model import Terrain

SEED, OTHER = 7, 11


def _kept(seed: int) -> Path | None:
    """Where the processes of one run, and no other, find a valley; None for a process alone."""
    run = os.environ.get("PYTEST_XDIST_TESTRUNUID")
    return Path(tempfile.gettempdir()) / f"lineward-valley-{run}-{seed}" if run else None


def pytest_sessionfinish() -> None:
    for kept in map(_kept, (SEED, OTHER)):
        if kept is not None:
            kept.unlink(missing_ok=True)


@lru_cache(maxsize=2)
def made(seed: int) -> Terrain:
    """The valley of a seed: built by the first test process that asks, read by the others."""
    kept = _kept(seed)
    if kept is None:
        return build(seed)
    with kept.open("a+b") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        file.seek(0)
        if whole := file.read():
            valley: Terrain = pickle.loads(whole)
            return valley
        valley = build(seed)
        file.write(pickle.dumps(valley))
        return valley


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
