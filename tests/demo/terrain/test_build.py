"""The whole valley: the same each time, and different for another seed."""

import hashlib
import json
import subprocess
import sys
from dataclasses import asdict
from pathlib import Path

import numpy as np
import pytest

from tests.demo.terrain.conftest import OTHER, made
from trapline.demo.terrain.build import build
from trapline.demo.terrain.frame import AREA
from trapline.demo.terrain.model import Terrain

GRIDS = ("elevation", "depth", "water", "receiver", "catchment", "cover")
ROOT = Path(__file__).parents[3]


def digest(valley: Terrain) -> str:
    """A hash of all that leaves the package."""
    seen = hashlib.sha256()
    for name in GRIDS:
        grid = getattr(valley, name)
        seen.update(f"{name}{grid.dtype}{grid.shape}".encode() + grid.tobytes())
    for group in ("features", "lines", "sets", "zones", "parcels"):
        rows = [asdict(row) for row in getattr(valley, group)]
        seen.update(json.dumps(rows, sort_keys=True, default=float).encode())
    return seen.hexdigest()


def test_the_same_seed_gives_the_same_bytes_in_another_process(valley: Terrain) -> None:
    code = (
        "from tests.demo.terrain.test_build import digest\n"
        "from trapline.demo.terrain.build import build\n"
        f"print(digest(build({valley.seed})))"
    )
    env = {"PYTHONHASHSEED": "4711", "PYTHONPATH": str(ROOT)}
    found = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env=env, check=True
    )
    assert found.stdout.strip() == digest(valley)


def test_another_seed_is_another_valley(valley: Terrain) -> None:
    other = made(OTHER)
    assert digest(other) != digest(valley)
    assert not np.array_equal(other.elevation, valley.elevation)


def test_all_grids_share_the_frame(any_valley: Terrain) -> None:
    for name in GRIDS:
        assert getattr(any_valley, name).shape == (AREA.rows, AREA.cols)
    assert np.all(np.isfinite(any_valley.elevation))
    assert any_valley.transform == AREA.transform


def test_heights_of_hills_are_those_of_the_grid(any_valley: Terrain) -> None:
    peaks = any_valley.of("peak")
    assert len(peaks) >= 4
    for peak in peaks:
        height = float(peak.facts["height_m"])
        assert any_valley.height_at(*peak.geometry["coordinates"]) == pytest.approx(height, abs=0.6)
    assert float(peaks[0].facts["height_m"]) == max(float(p.facts["height_m"]) for p in peaks)


def test_everything_lies_within_the_area(any_valley: Terrain) -> None:
    west, south, east, north = any_valley.bounds
    for group in ("features", "lines", "zones", "parcels"):
        for feature in getattr(any_valley, group):
            flat = np.array(_points(feature.geometry["coordinates"]))
            assert np.all(flat >= np.array([west, south]) - 2e-6), feature.name
            assert np.all(flat <= np.array([east, north]) + 2e-6), feature.name


def _points(coordinates: list) -> list:  # type: ignore[type-arg]
    if isinstance(coordinates[0], float):
        return [coordinates]
    return [point for part in coordinates for point in _points(part)]


def test_the_cabin_stands_dry_above_the_creek(any_valley: Terrain) -> None:
    lon, lat = any_valley.of("cabin")[0].geometry["coordinates"]
    cell = any_valley.frame.cells(any_valley.frame.metres((lon, lat)))
    assert any_valley.water[cell] == 0
    assert 1 < any_valley.scene.water.above[cell] < 45
    assert any_valley.scene.slope[cell] < 10


def test_a_seed_below_nothing_is_refused() -> None:
    with pytest.raises(ValueError):
        build(-1)
