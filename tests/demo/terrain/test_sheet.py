"""The printable sheet."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from pyproj import Geod

from trapline.demo.terrain.draw.sheet import ACCENT, DESIGN_PX, _view, render_sheet
from trapline.demo.terrain.draw.style import LIGHT
from trapline.demo.terrain.model import Terrain


def test_a_sheet_shows_the_valley_its_lines_and_a_margin(valley: Terrain, tmp_path: Path) -> None:
    path = tmp_path / "sheet.png"
    render_sheet(valley, path, 1000)
    with Image.open(path) as sheet:
        assert sheet.width == 1000 and 1000 < sheet.height < 1300
        shown = np.asarray(sheet.convert("RGB")).astype(int)
    assert np.all(np.abs(shown[2, :] - LIGHT.paper) <= 1)
    red = np.abs(shown - ACCENT).max(axis=2) < 40
    assert red.sum() > 500  # three lines of some 30 km in all at 26 m a pixel


def test_its_scale_is_that_of_the_ground(valley: Terrain) -> None:
    view = _view(valley, DESIGN_PX)
    west, _, east, _ = valley.bounds
    middle = valley.frame.lat
    a, b = view.place(np.array([[west, middle], [east, middle]]))
    _, _, true = Geod(ellps="WGS84").inv(west, middle, east, middle)
    assert b[0] - a[0] == pytest.approx(view.width, abs=1)
    assert true / view.width == pytest.approx(24_000 / view.width, rel=1e-3)


def test_a_sheet_too_small_to_read_is_refused(valley: Terrain, tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="599 px wide cannot be read"):
        render_sheet(valley, tmp_path / "small.png", 599)
    assert not list(tmp_path.iterdir())
