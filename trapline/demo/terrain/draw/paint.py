"""One window of the map, painted: relief, cover, contours, then what the pen and letters add."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import gaussian_filter

from ..cover import Kind
from ..frame import Floats
from ..model import Terrain
from .letters import Glyph, stamp
from .marks import LAYERS, Shapes, masks, shapes
from .sampling import Field, View, sampler
from .style import Style

PAD_PX = 4  # painted beyond the window and cut off, so that edges of windows agree
FINE_FROM = 12.5  # from this zoom on a pixel is so much smaller than a cell that the ground
# under the lines is painted at half size


@dataclass(frozen=True)
class Sheets:
    """What painting needs of a terrain, made once."""

    terrain: Terrain
    height: Field
    shade: Field
    level_shade: float
    tints: dict[str, list[Field]]  # by style: red, green, blue of the cover
    shapes: Shapes


def prepare(terrain: Terrain, styles: dict[str, Style]) -> Sheets:
    """Read a terrain for painting in the given styles."""
    height = gaussian_filter(terrain.scene.water.surface, 0.6)
    shade, level = hillshade(height, terrain.frame.cell_m)
    tints = {key: tint(terrain.cover, style) for key, style in styles.items()}
    return Sheets(terrain, height.astype(np.float32), shade, level, tints, shapes(terrain))


def tint(cover: NDArray[np.uint8], style: Style) -> list[Field]:
    """Red, green and blue of the cover, its borders run together like a wash."""
    table = np.array([style.tints[kind] for kind in Kind], dtype=np.float32)
    return [gaussian_filter(table[cover, channel], 1.0) for channel in range(3)]


def hillshade(height: Floats, cell_m: float) -> tuple[Field, float]:
    """(shade 0-1, the shade of level ground), lit from four sides, the north-west most.

    Lambert's cosine law under lights 45 degrees up, with the ground twice as steep as it is.
    """
    down, across = np.gradient(height * 2.0, cell_m)
    length = np.sqrt(1 + down**2 + across**2)
    up = np.sqrt(0.5)
    shade = np.zeros_like(height)
    for azimuth, share in ((315, 0.46), (270, 0.2), (0, 0.2), (225, 0.14)):
        east, south = np.sin(np.radians(azimuth)) * up, -np.cos(np.radians(azimuth)) * up
        shade += share * np.maximum((up - across * east - down * south) / length, 0)
    return shade.astype(np.float32), float(up)


def paint(
    sheets: Sheets, view: View, names: list[Glyph], styles: dict[str, Style]
) -> dict[str, Image.Image]:
    """The window in each style. The styles must be among those that `prepare` was given."""
    wide = view.grown(PAD_PX)
    height = sampler(sheets.terrain.frame, wide)(sheets.height)
    minor, index = contours(height, view.shown, view.ink)
    drawn = masks(sheets.terrain, sheets.shapes, wide)
    off_map = _off_map(sheets.terrain, wide)
    stamps = {role: stamp(names, wide, role) for role in ("height_name", "water_name", "name")}
    small = wide.half() if view.zoom >= FINE_FROM else wide
    draw = sampler(sheets.terrain.frame, small)
    shade = draw(sheets.shade)
    found = {}
    for key, style in styles.items():
        wash = [draw(field) for field in sheets.tints[key]]
        image = _ground(shade, sheets.level_shade, wash, style).resize(
            (wide.width, wide.height), Image.Resampling.BICUBIC
        )
        lay(image, style.contour, minor, style.contour_strength)
        lay(image, style.contour, index, style.index_strength)
        for name in LAYERS[:-1]:
            lay(image, getattr(style, name), drawn[name], style.strengths.get(name, 1.0))
        for role, pair in stamps.items():
            if pair:
                lay(image, style.paper, pair[1], style.halo)
                lay(image, getattr(style, role), pair[0], 1.0)
        lay(image, style.paper, off_map, 1.0)
        lay(image, style.neatline, drawn["neatline"], 1.0)
        found[key] = image.crop((PAD_PX, PAD_PX, PAD_PX + view.width, PAD_PX + view.height))
    return found


def lay(
    image: Image.Image, colour: tuple[int, int, int], cover: Image.Image | None, strength: float
) -> None:
    """Lay a colour over the picture through a mask, in place."""
    box = cover.getbbox() if cover is not None else None
    if cover is None or box is None:
        return
    cover = cover.crop(box)
    if strength < 1:
        cover = cover.point([round(value * strength) for value in range(256)])
    image.paste(colour, box, cover)


def _off_map(terrain: Terrain, view: View) -> Image.Image | None:
    """The mask of what lies outside the area."""
    west, south, east, north = terrain.bounds
    left, top = view.place(np.array([west, north])).tolist()
    right, bottom = view.place(np.array([east, south])).tolist()
    if left <= 0 and top <= 0 and right >= view.width and bottom >= view.height:
        return None
    mask = Image.new("L", (view.width, view.height), 255)
    box = (
        max(round(left), 0),
        max(round(top), 0),
        min(round(right), view.width),
        min(round(bottom), view.height),
    )
    if box[0] < box[2] and box[1] < box[3]:
        mask.paste(0, box)
    return mask


def _ground(shade: Field, level: float, wash: list[Field], style: Style) -> Image.Image:
    """Cover tinted and shaded."""
    dark = np.clip((level - shade) * (style.shadow / level), 0, style.shadow)
    light = np.clip((shade - level) * (style.light / (1 - level)), 0, style.light)
    canvas = np.empty((*shade.shape, 3), dtype=np.uint8)
    for channel in range(3):
        colour = wash[channel] + (style.ink[channel] - wash[channel]) * dark
        colour += (style.glow[channel] - colour) * light
        canvas[..., channel] = np.clip(colour + 0.5, 0, 255)
    return Image.fromarray(canvas)


def contours(
    height: Field, zoom: float, ink: float = 1.0
) -> tuple[Image.Image | None, Image.Image | None]:
    """Masks of the 20 m contours (from zoom 12.5 on) and of the 100 m ones (from 11 on)."""
    if zoom < 11:
        return None, None
    down, across = np.gradient(height)
    steep = np.maximum(np.hypot(down, across), 0.02)
    index = _contour(height, steep, 100.0, (1.15 if zoom >= FINE_FROM else 0.9) * ink)
    return (_contour(height, steep, 20.0, 0.85 * ink) if zoom >= FINE_FROM else None), index


def _contour(height: Field, steep: Field, every: float, width: float) -> Image.Image:
    """Mask of lines `width` px wide, from the distance to the nearest level in pixels."""
    share = height * np.float32(1 / every)
    share -= np.rint(share)
    np.abs(share, out=share)
    share *= np.float32(-255 * every)
    share /= steep
    share += np.float32(255 * (width / 2 + 0.5))
    return Image.fromarray(np.clip(share, 0, 255).astype(np.uint8))
