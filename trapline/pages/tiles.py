"""The map's tiles, which the house serves itself: MEDIA_ROOT/tiles/<variant>/<z>/<x>/<y>.webp."""

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotModified
from django.utils.cache import patch_cache_control
from django.utils.http import quote_etag

from trapline.land.tiles import tile_folder
from trapline.pages.guard import SIGNED_IN, page

DAY_S = 24 * 3600
DEEPEST = 22


@page(SIGNED_IN)
def tile(request: HttpRequest, variant: str, z: int, x: int, y: int) -> HttpResponse:
    """One tile, with an ETag from its file's time and size."""
    if z > DEEPEST or x >= 2**z or y >= 2**z:
        raise Http404
    path = tile_folder() / variant / str(z) / str(x) / f"{y}.webp"
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
