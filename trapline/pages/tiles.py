"""The map's tiles, which the house serves itself: MEDIA_ROOT/tiles/<variant>/<z>/<x>/<y>.webp."""

import math
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotModified
from django.utils.cache import patch_cache_control
from django.utils.http import quote_etag

from trapline.pages.guard import SIGNED_IN, page

DAY_S = 24 * 3600
DEEPEST = 22


def _folder() -> Path:
    return Path(settings.MEDIA_ROOT) / "tiles"


def tile_variants() -> list[str]:
    """The variants there are, by name: light, dark, red or whatever was drawn."""
    return _names(_folder())


def tile_extent() -> str:
    """What the first variant covers: `south west north east shallowest deepest`; empty for none.

    The map's script asks for no tile outside it.
    """
    names = tile_variants()
    return _extent(_folder() / names[0], (_folder() / names[0]).stat().st_mtime_ns) if names else ""


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


@page(SIGNED_IN)
def tile(request: HttpRequest, variant: str, z: int, x: int, y: int) -> HttpResponse:
    """One tile, with an ETag from its file's time and size."""
    if z > DEEPEST or x >= 2**z or y >= 2**z:
        raise Http404
    path = _folder() / variant / str(z) / str(x) / f"{y}.webp"
    try:
        found = path.stat()
        etag = quote_etag(f"{found.st_mtime_ns:x}-{found.st_size:x}")
        if request.headers.get("If-None-Match") == etag:
            answer: HttpResponse = HttpResponseNotModified()
        else:
            answer = HttpResponse(path.read_bytes(), content_type="image/webp")
    except (FileNotFoundError, NotADirectoryError):
        raise Http404 from None
    answer["ETag"] = etag
    patch_cache_control(answer, private=True, max_age=DAY_S)
    return answer
