"""The map's tiles as they lie in MEDIA_ROOT/tiles/<variant>/<z>/<x>/<y>.webp: what there is."""

import math
from functools import lru_cache
from pathlib import Path

from django.conf import settings


def tile_folder() -> Path:
    return Path(settings.MEDIA_ROOT) / "tiles"


def tile_variants() -> list[str]:
    """The variants there are, by name: light, dark, red or whatever was drawn."""
    return _names(tile_folder())


def tile_extent() -> str:
    """What the first variant covers: `south west north east shallowest deepest`; empty for none.

    The map's script asks for no tile outside it.
    """
    names = tile_variants()
    if not names:
        return ""
    first = tile_folder() / names[0]
    return _extent(first, first.stat().st_mtime_ns)


@lru_cache(maxsize=8)
def _extent(folder: Path, _drawn_at: int) -> str:
    zooms = sorted(int(name) for name in _names(folder))
    if not zooms:
        return ""
    deepest = folder / str(zooms[-1])
    columns = sorted(int(name) for name in _names(deepest))
    rows = sorted(int(one.stem) for one in (deepest / str(columns[0])).glob("*.webp"))
    north, west = _corner(columns[0], rows[0], zooms[-1])
    south, east = _corner(columns[-1] + 1, rows[-1] + 1, zooms[-1])
    return f"{south:.5f} {west:.5f} {north:.5f} {east:.5f} {zooms[0]} {zooms[-1]}"


def _corner(x: int, y: int, zoom: int) -> tuple[float, float]:
    """The north-west corner of a web-mercator tile: latitude and longitude in degrees."""
    tiles = 2**zoom
    lat = math.degrees(math.atan(math.sinh(math.pi * (1 - 2 * y / tiles))))
    return lat, x / tiles * 360 - 180


def _names(folder: Path) -> list[str]:
    return sorted(one.name for one in folder.iterdir() if one.is_dir()) if folder.is_dir() else []
