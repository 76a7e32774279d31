"""The page that opens without a signal, the worker that keeps it, and what installs it.

The page itself holds nobody's data, only the name of a team where its address names one: what a
person may see comes as a bundle (bundle.py) and is kept in the browser under their name. So it may
be sent packed: there is no secret in it whose length would tell.
"""

import json

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.utils.cache import patch_cache_control
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.gzip import gzip_page

from trapline.people.guard import ANYONE_IN_TEAM, LEADS, OPEN, page, team_of, team_page
from trapline.people.rights import Actor
from trapline.phone.files import first_scripts, kept_files, version
from trapline.phone.words import words


def _page(request: HttpRequest, team: str = "") -> HttpResponse:
    shown = {"words": words(), "version": version(), "scripts": first_scripts(), "team": team}
    answer = render(request, "phone/phone.html", shown)
    patch_cache_control(answer, private=True, no_cache=True)
    return answer


@page(OPEN)
@gzip_page
def start(request: HttpRequest) -> HttpResponse:
    """The page without a team: the one that was open last on this phone. No statement."""
    return _page(request)


@team_page(ANYONE_IN_TEAM)
@gzip_page
def phone(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The page of a team. No statement beside the guard's."""
    return _page(request, team_of(request).name)


@team_page(LEADS)
def load(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Where an instructor loads a student's queue that was saved as a file. No statement."""
    return render(request, "phone/load.html", {"words": words()})


@page(OPEN)
@gzip_page
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker, with the list of what it keeps. The browser asks for it each time."""
    listed = {"version": version(), "shell": reverse("phone_start"), "files": kept_files()}
    shown = {"listed": mark_safe(json.dumps(listed, indent=2))}  # noqa: S308 - addresses of ours
    answer = render(request, "phone/sw.js", shown, content_type="text/javascript")
    answer["Service-Worker-Allowed"] = "/"
    patch_cache_control(answer, no_cache=True)
    return answer


@page(OPEN)
def manifest(request: HttpRequest) -> HttpResponse:
    """What the browser installs the page by (W3C Web Application Manifest)."""
    icons = [
        {"src": static(f"phone/icon-{size}.png"), "sizes": f"{size}x{size}", "type": "image/png"}
        for size in (192, 512)
    ]
    masked = {"src": static("phone/icon-mask.png"), "sizes": "512x512", "type": "image/png"}
    said = {
        "id": reverse("phone_start"),
        "name": "Lineward",
        "short_name": "Lineward",
        "description": _("The team’s round, with and without signal."),
        "start_url": reverse("phone_start"),
        "scope": "/",
        "display": "standalone",
        "background_color": "#f4f4ea",
        "theme_color": "#f4f4ea",
        "icons": [
            *icons,
            masked | {"purpose": "maskable"},
            {"src": static("phone/icon.svg"), "sizes": "any", "type": "image/svg+xml"},
        ],
    }
    answer = JsonResponse(said, content_type="application/manifest+json")
    patch_cache_control(answer, no_cache=True)
    return answer
