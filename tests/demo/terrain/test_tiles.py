"""The drawn map: complete, small, seamless, the same each time, and legible under markers."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from trapline.demo.terrain.draw.contrast import MARKERS, backgrounds, luminance, ratio
from trapline.demo.terrain.draw.nameplan import plan
from trapline.demo.terrain.draw.paint import contours, paint, prepare
from trapline.demo.terrain.draw.sampling import View, sampler
from trapline.demo.terrain.draw.store import VARIANTS, ZOOMS, tile_path, tilejson
from trapline.demo.terrain.draw.style import STYLES
from trapline.demo.terrain.draw.tilemath import TILE_PX, degrees, pixels, tile_at, tiles_over
from trapline.demo.terrain.draw.tiles import Rendered, render_tiles
from trapline.demo.terrain.frame import AREA
from trapline.demo.terrain.model import Terrain

Drawn = tuple[Path, Rendered, range]
MOST_BYTES = 15_000_000  # a variant, zooms 9-14


def test_every_tile_of_the_area_is_there_and_no_other(tiles: Drawn) -> None:
    folder, written, zooms = tiles
    expected = {
        tile_path(folder, variant, zoom, x, y)
        for variant in VARIANTS
        for zoom in zooms
        for x in tiles_over(AREA.bounds, zoom)[0]
        for y in tiles_over(AREA.bounds, zoom)[1]
    }
    assert set(folder.rglob("*.webp")) == expected
    assert sum(written.tiles.values()) == len(expected)


def test_tiles_are_256_px_pictures(tiles: Drawn) -> None:
    for path in tiles[0].rglob("*.webp"):
        with Image.open(path) as tile:
            assert tile.format == "WEBP" and tile.size == (256, 256) and tile.mode == "RGB"


def test_all_zooms_stay_well_under_the_limit(tiles: Drawn) -> None:
    """Reckoned from the smaller zooms, whose tiles are the fuller ones: zoom 14 has 484 tiles of
    5 kB, zoom 11 nine of 11 kB (measured)."""
    _, written, _ = tiles
    every = [tiles_over(AREA.bounds, zoom) for zoom in ZOOMS]
    count = sum(len(xs) * len(ys) for xs, ys in every)
    for variant in VARIANTS:
        assert written.bytes[variant] / written.tiles[variant] * count * 1.5 < MOST_BYTES


def test_the_same_valley_draws_the_same_bytes(
    valley: Terrain, tiles: Drawn, tmp_path: Path
) -> None:
    render_tiles(valley, tmp_path, [9, 11])
    for path in tmp_path.rglob("*.webp"):
        assert path.read_bytes() == (tiles[0] / path.relative_to(tmp_path)).read_bytes()


def test_the_two_looks_are_light_and_dark(tiles: Drawn) -> None:
    light, dark = (backgrounds((tiles[0] / variant / "12").rglob("*.webp")) for variant in VARIANTS)
    assert np.quantile(light, 0.05) > 0.35
    assert np.quantile(dark, 0.95) < 0.06


@pytest.mark.parametrize("variant", VARIANTS)
@pytest.mark.parametrize("zoom", [10, 11, 12])
def test_markers_stand_out_from_the_ground(tiles: Drawn, variant: str, zoom: int) -> None:
    """WCAG 2.2, 1.4.11: 3:1 for graphical objects. Names and lines, under 2 % of the map, are
    as dark as a marker: there its rim in the paper's colour tells it apart."""
    seen = backgrounds((tiles[0] / variant / str(zoom)).rglob("*.webp"))
    for colour in MARKERS[variant].values():
        against = ratio(luminance(colour), seen)
        assert np.quantile(against, 0.02) >= 3
        assert ratio(luminance(colour), luminance(STYLES[variant].paper)) >= 7


@pytest.mark.parametrize(
    ("colours", "expected"),
    # W3C: black on white is 21:1; #777 on white is 4.48:1 and #767676 is 4.54:1, the greys either
    # side of the AA limit in WebAIM's contrast article; #949494 is the lightest grey with 3:1.
    [
        (((0, 0, 0), (255, 255, 255)), 21.0),
        (((0x77,) * 3, (255, 255, 255)), 4.48),
        (((0x76,) * 3, (255, 255, 255)), 4.54),
        (((0x94,) * 3, (255, 255, 255)), 3.03),
        (((12, 90, 7), (12, 90, 7)), 1.0),
    ],
)
def test_contrast_is_wcag_s(colours: tuple[tuple[int, ...], ...], expected: float) -> None:
    assert ratio(*(luminance(colour) for colour in colours)) == pytest.approx(expected, abs=0.005)


def test_the_lake_is_where_the_valley_has_it(valley: Terrain, tiles: Drawn) -> None:
    scene = valley.scene
    rows, cols = np.nonzero(scene.water.lakes == 1)
    middle = valley.frame.lonlat(valley.frame.centres(rows, cols))
    world = pixels(middle, 12)
    for variant in VARIANTS:
        near = []
        for x, y in {tuple(tile) for tile in (world // TILE_PX).astype(int).tolist()}:
            here = world[np.all(world // TILE_PX == (x, y), axis=1)].astype(int) % TILE_PX
            with Image.open(tile_path(tiles[0], variant, 12, x, y)) as picture:
                near.append(np.asarray(picture).astype(int)[here[:, 1], here[:, 0]])
        away = np.abs(np.vstack(near) - STYLES[variant].lake).max(axis=1)
        assert np.mean(away < 12) > 0.7  # the rest is shore and the lake's name


def test_windows_that_meet_show_the_same_ground(valley: Terrain) -> None:
    sheets, names = prepare(valley, STYLES), plan(valley, 13)
    left, top = (TILE_PX * number for number in tile_at(AREA.lon, AREA.lat, 13))
    one = paint(sheets, View(13, left, top, 512, 256), names, STYLES)
    other = paint(sheets, View(13, left + 256, top, 512, 256), names, STYLES)
    for variant in VARIANTS:
        a = np.asarray(one[variant])[:, 256:].astype(int)
        b = np.asarray(other[variant])[:, :256].astype(int)
        assert np.abs(a - b).max() <= 2


def test_a_grid_is_resampled_to_where_it_lies() -> None:
    """A field linear in longitude and latitude comes back as itself at every pixel's place."""
    cells = np.mgrid[: AREA.rows, : AREA.cols]
    places = AREA.lonlat(AREA.centres(*cells))
    grid = (1000 * (places[..., 0] - AREA.lon) + 700 * (places[..., 1] - AREA.lat)).astype("f4")
    for zoom in (11, 14):
        x, y = pixels((AREA.lon, AREA.lat), zoom).tolist()
        view = View(zoom, x - 150, y - 100, 300, 200)
        down, across = np.mgrid[:200, :300] + 0.5
        lon, lat = degrees(np.stack([x - 150 + across, y - 100 + down], -1), zoom).T
        expected = 1000 * (lon.T - AREA.lon) + 700 * (lat.T - AREA.lat)
        assert sampler(AREA, view)(grid) == pytest.approx(expected, abs=0.02)


def test_contours_run_where_the_height_is_a_multiple_of_twenty() -> None:
    """On a slope of 4 m a pixel the lines lie 5 and 25 pixels apart, at the pixels that say so."""
    height = (np.arange(200, dtype=np.float32) * 4 + 600)[None].repeat(40, axis=0)
    minor, index = contours(height, 14)
    assert minor is not None and index is not None
    dark = np.asarray(minor)[20] > 200
    assert np.array_equal(np.nonzero(dark)[0], np.arange(0, 200, 5))
    strong = np.asarray(index)[20] > 200
    assert np.array_equal(np.nonzero(strong)[0], np.arange(0, 200, 25))
    assert contours(height, 10) == (None, None)


@pytest.mark.parametrize("zoom", [10, 11, 12, 13, 14])
def test_no_name_hides_another(valley: Terrain, zoom: int) -> None:
    names = plan(valley, zoom)
    assert names
    straight = [glyph for glyph in names if glyph.text.width > 30]
    for number, one in enumerate(straight):
        assert not any(one.overlaps(other, gap=0) for other in straight[number + 1 :])


def test_an_address_cannot_lead_out_of_the_folder(tmp_path: Path) -> None:
    assert tile_path(tmp_path, "dark", 9, 73, 145) == tmp_path / "dark/9/73/145.webp"
    for variant, numbers in (("../light", (9, 1, 1)), ("", (9, 1, 1)), ("light", (9, -1, 1))):
        with pytest.raises(ValueError, match=r"There is no"):
            tile_path(tmp_path, variant, *numbers)
    with pytest.raises(ValueError):
        tile_path(tmp_path, "light", 9, "../../x", 1)  # type: ignore[arg-type]


def test_tilejson_says_what_was_drawn(tiles: Drawn) -> None:
    """The required fields of TileJSON 3.0.0 and what they must agree with."""
    about = tilejson("/map/{z}/{x}/{y}")
    assert about["tilejson"] == "3.0.0" and about["scheme"] == "xyz"
    assert about["tiles"] == ["/map/{z}/{x}/{y}"]
    west, south, east, north = about["bounds"]
    lon, lat, zoom = about["center"]
    assert west < lon < east and south < lat < north
    assert about["minzoom"] <= zoom <= about["maxzoom"]
    xs, ys = tiles_over((west, south, east, north), 11)
    assert tile_path(tiles[0], "light", 11, xs[0], ys[-1]).exists()
