"""Photographs: a phone puts the whole file; who may see the set gets a copy drawn anew."""

from io import BytesIO
from uuid import UUID

from django.http import HttpRequest, HttpResponse, HttpResponseNotModified, JsonResponse
from django.utils.cache import patch_cache_control
from django.utils.http import parse_etags, quote_etag
from PIL import Image, ImageOps

from trapline.ground.clock import now
from trapline.ground.errors import Problem, Refused
from trapline.ground.words import sentence
from trapline.people.guard import ANYONE_IN_TEAM, team_page
from trapline.people.rights import Actor
from trapline.record.keep_photo import CONFLICT, FRESH, keep_photo
from trapline.standing.selectors import photo_file

QUALITY = 85
DAY_S = 24 * 3600


@team_page(ANYONE_IN_TEAM, "GET", "PUT")
def photo(request: HttpRequest, actor: Actor, photo: UUID) -> HttpResponse:
    """PUT: 201 when it is kept, 200 when it was kept before, 409 when the id has other bytes.

    GET: the picture as a JPEG without whatever stood beside it in the file.
    """
    return _take(request, actor, photo) if request.method == "PUT" else _give(request, actor, photo)


def _take(request: HttpRequest, actor: Actor, photo: UUID) -> HttpResponse:
    try:
        became = keep_photo(
            actor, photo, request.body,
            said_sha256=request.headers.get("X-Sha256", ""), received_at=now(),
        )  # fmt: skip
    except Refused as error:
        return _told(error.problems[0], 400)
    if became == CONFLICT:
        return _told(Problem("id", "photo_conflict"), 409)
    return JsonResponse({"id": str(photo), "state": became}, status=201 if became == FRESH else 200)


def _told(problem: Problem, status: int) -> JsonResponse:
    said = {"code": problem.code, "detail": sentence(problem)}
    return JsonResponse(said, status=status)


def _give(request: HttpRequest, actor: Actor, photo: UUID) -> HttpResponse:
    raw, digest = photo_file(actor.team, photo, None if actor.leads else actor.member)
    etag = quote_etag(digest[:32])
    if etag in parse_etags(request.headers.get("If-None-Match", "")):
        answer: HttpResponse = HttpResponseNotModified()
    else:
        answer = HttpResponse(drawn_anew(raw), content_type="image/jpeg")
    answer["ETag"] = etag
    patch_cache_control(answer, private=True, max_age=DAY_S)
    return answer


def drawn_anew(raw: bytes) -> bytes:
    """The picture itself as a JPEG, turned as its camera meant it: no EXIF, no comment, nothing."""
    with Image.open(BytesIO(raw)) as image:
        upright = ImageOps.exif_transpose(image).convert("RGB")
    bare = Image.new("RGB", upright.size)
    bare.paste(upright)
    made = BytesIO()
    bare.save(made, "JPEG", quality=QUALITY)
    return made.getvalue()
