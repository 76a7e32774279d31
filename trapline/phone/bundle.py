"""What a phone carries: everything its person needs on a round, as one JSON with an ETag."""

import hashlib
import json
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseNotModified, JsonResponse
from django.middleware.csrf import get_token
from django.utils.cache import patch_cache_control
from django.utils.http import quote_etag
from django.utils.translation import get_language
from django.views.decorators.gzip import gzip_page

from trapline.ground.clock import now
from trapline.people.guard import ANYONE_IN_TEAM, SIGNED_IN, page, team_of, team_page
from trapline.people.rights import Actor
from trapline.phone import carried
from trapline.phone.files import version

FORMAT = 1  # of the bundle; a page that cannot read it asks for a new page


@page(SIGNED_IN)
def who(request: HttpRequest) -> HttpResponse:
    """Whose sign-in this is, and the token under which that person's acts may be sent.

    The token goes with the sign-in: after another person has signed in, the server refuses it, so
    a queue can only be sent by the person that was answered here.
    """
    said = {"person": str(request.user.pk), "csrf": get_token(request), "at": now().isoformat()}
    answer = JsonResponse(said)
    patch_cache_control(answer, private=True, no_store=True)
    return answer


@team_page(ANYONE_IN_TEAM)
@gzip_page
def bundle(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Fourteen statements beside the guard's, whatever the team has; see carried.py.

    Packed, to a fifth: it holds no token, no page of another site gets it fetched under the
    person's sign-in, and Django lengthens each answer by chance, so its length tells nothing.
    """
    units: str = request.user.units  # type: ignore[union-attr]
    said: dict[str, Any] = {
        "format": FORMAT,
        "version": version(),
        "language": get_language(),
        "person": {
            "id": str(request.user.pk),
            "member": str(actor.member),
            "name": actor.name,
            "leads": actor.leads,
            "units": units,
            "light": request.user.light,  # type: ignore[union-attr]
        },
        "team": {"slug": actor.team_slug, "name": team_of(request).name},
        **carried.of(actor, now(), units),
    }
    raw = json.dumps(said, separators=(",", ":"), ensure_ascii=False, default=str).encode()
    etag = quote_etag(hashlib.sha256(raw).hexdigest()[:32])
    fresh = request.headers.get("If-None-Match", "").removeprefix("W/") == etag
    answer: HttpResponse = (
        HttpResponseNotModified() if fresh else HttpResponse(raw, content_type="application/json")
    )
    answer["ETag"] = etag
    patch_cache_control(answer, private=True, no_cache=True)
    return answer
