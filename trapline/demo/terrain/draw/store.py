"""Where the tiles lie and what a map page needs to know of them. Imports nothing heavy."""

from pathlib import Path
from typing import Any

from ..frame import AREA

VARIANTS = ("light", "dark")
ZOOMS = range(9, 15)
MEDIA_TYPE = "image/webp"


def tile_path(folder: Path, variant: str, z: int, x: int, y: int) -> Path:
    """Where a tile lies: folder/variant/z/x/y.webp, whether it was made or not.

    Errors: ValueError for an unknown variant or a number below nothing, so that no address can
    lead out of the folder.
    """
    if variant not in VARIANTS:
        raise ValueError(f"There is no map variant {variant!r}; ask for {' or '.join(VARIANTS)}.")
    if min(int(z), int(x), int(y)) < 0:
        raise ValueError(f"There is no tile {z}/{x}/{y}; tile numbers start at 0.")
    return Path(folder) / variant / str(int(z)) / str(int(x)) / f"{int(y)}.webp"


def tilejson(address: str, zooms: range = ZOOMS) -> dict[str, Any]:
    """A TileJSON 3.0.0 document of the demo area. `address` is a template with {z}, {x}, {y}."""
    west, south, east, north = AREA.bounds
    return {
        "tilejson": "3.0.0",
        "scheme": "xyz",
        "tiles": [address],
        "bounds": [west, south, east, north],
        "center": [AREA.lon, AREA.lat, 11],
        "minzoom": zooms[0],
        "maxzoom": zooms[-1],
    }
