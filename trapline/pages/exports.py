"""Sets as a file for other programs: the places that a person sees on a page, and no more."""

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.utils.cache import patch_cache_control
from django.utils.text import slugify

from trapline.duties.files import sets_out
from trapline.ground.errors import NotYours
from trapline.lines.formats import geojson_out, gpx_out
from trapline.lines.selectors import access_line
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.pages.today import only_own
from trapline.people.rights import Actor

FORMS: dict[str, tuple[Any, str]] = {
    "gpx": (gpx_out, "application/gpx+xml"),
    "geojson": (geojson_out, "application/geo+json"),
}


@team_page(ANYONE_IN_TEAM)
def sets_file(request: HttpRequest, actor: Actor, form: str) -> HttpResponse:
    """The active sets of all lines that the person sees. Two statements beside the guard's."""
    return _file(actor, form, actor.team_slug, None)


@team_page(ANYONE_IN_TEAM)
def line_file(request: HttpRequest, actor: Actor, line_id: UUID, form: str) -> HttpResponse:
    """Those of one line. Three statements beside the guard's."""
    line = access_line(actor.team, line_id)
    return _file(actor, form, slugify(line.name) or "line", line_id)


def _file(actor: Actor, form: str, name: str, line: UUID | None) -> HttpResponse:
    if form not in FORMS:
        raise NotYours
    sets, paths = sets_out(actor.team, only_own(actor), line)
    if line is not None and not sets and not actor.leads:
        raise NotYours
    writer, kind = FORMS[form]
    answer = HttpResponse(writer.write(sets, paths), content_type=kind)
    answer["Content-Disposition"] = f'attachment; filename="{name}.{form}"'
    patch_cache_control(answer, private=True, no_store=True)
    return answer
