"""The map as XYZ tiles on disk."""

from collections.abc import Iterable
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from PIL import Image

from ..model import Terrain
from .nameplan import plan
from .paint import paint, prepare
from .sampling import View
from .store import ZOOMS, tile_path
from .style import STYLES
from .tilemath import TILE_PX, tiles_over

AT_ONCE = 4  # tiles a side painted together
QUALITY, EFFORT = 88, 2  # of WebP: 0-100 and 0-6


@dataclass(frozen=True)
class Rendered:
    """What was written: tiles and bytes, by variant."""

    tiles: dict[str, int]
    bytes: dict[str, int]


def render_tiles(
    terrain: Terrain,
    folder: Path,
    zooms: Iterable[int] = ZOOMS,
    variants: Iterable[str] = tuple(STYLES),
) -> Rendered:
    """Write the tiles of a terrain as lossy WebP, 256 px; all variants share one painting."""
    styles = {variant: STYLES[variant] for variant in variants}
    sheets = prepare(terrain, styles)
    done = Rendered(dict.fromkeys(styles, 0), dict.fromkeys(styles, 0))
    for zoom in zooms:
        names = plan(terrain, zoom)
        xs, ys = tiles_over(terrain.bounds, zoom)
        for left in xs[::AT_ONCE]:
            for top in ys[::AT_ONCE]:
                across, down = min(AT_ONCE, xs.stop - left), min(AT_ONCE, ys.stop - top)
                view = View(zoom, left * TILE_PX, top * TILE_PX, across * TILE_PX, down * TILE_PX)
                for variant, picture in paint(sheets, view, names, styles).items():
                    written = _cut(picture, Path(folder), variant, (zoom, left, top))
                    done.tiles[variant] += len(written)
                    done.bytes[variant] += sum(written)
    return done


def _cut(
    picture: Image.Image, folder: Path, variant: str, first: tuple[int, int, int]
) -> list[int]:
    """Cut a picture into tiles from `first` (z, x, y) on; the bytes of each."""
    zoom, left, top = first
    sizes = []
    for x in range(0, picture.width, TILE_PX):
        column = tile_path(folder, variant, zoom, left + x // TILE_PX, top)
        column.parent.mkdir(parents=True, exist_ok=True)
        for y in range(0, picture.height, TILE_PX):
            held = BytesIO()
            tile = picture.crop((x, y, x + TILE_PX, y + TILE_PX))
            tile.save(held, "WEBP", quality=QUALITY, method=EFFORT)
            path = column.with_name(f"{top + y // TILE_PX}.webp")
            path.write_bytes(held.getvalue())
            sizes.append(held.tell())
    return sizes
