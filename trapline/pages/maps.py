"""The map: sets and lines as GeoJSON."""

from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.cache import patch_cache_control

from trapline.duties.selectors import SetOnLine, sets_on_lines
from trapline.ground.clock import now
from trapline.lines.models import Line
from trapline.pages.guard import ANYONE_IN_TEAM, team_of, team_page
from trapline.pages.rows import Rows, sign_of
from trapline.pages.templatetags.lineward import due_words, left
from trapline.pages.today import only_own
from trapline.people.rights import Actor
from trapline.wording.zones import zone_name

MOST_ON_MAP = 2000
MOST_BESIDE = 60


@team_page(ANYONE_IN_TEAM)
def map_page(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The map, and its sets as a list beside it. One statement beside the guard's."""
    moment = now()
    sets = sets_on_lines(actor.team, only_own(actor), most=MOST_BESIDE)
    rows = Rows(actor, team_of(request), moment).of_sets(sets, with_line=True)
    shown = {"rows": rows, "moment": moment, "most": MOST_BESIDE}
    return render(request, "map.html", shown)


@team_page(ANYONE_IN_TEAM)
def map_data(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Sets and paths as one GeoJSON FeatureCollection (RFC 7946). Two statements."""
    moment, member = now(), only_own(actor)
    sets = sets_on_lines(actor.team, member, most=MOST_ON_MAP)
    on = {one.line for one in sets}
    paths = Line.objects.filter(team_id=actor.team, path__isnull=False)
    features = [_path(line) for line in paths if member is None or line.id in on]
    features += [_point(one, moment, actor.team_slug) for one in sets]
    answer = JsonResponse({"type": "FeatureCollection", "features": features})
    answer["Content-Type"] = "application/geo+json"
    patch_cache_control(answer, private=True, no_cache=True)
    return answer


def _path(line: Line) -> dict[str, Any]:
    return {
        "type": "Feature",
        "id": str(line.id),
        "geometry": {"type": "LineString", "coordinates": [list(one) for one in line.path or ()]},
        "properties": {"what": "line", "name": line.name},
    }


def _point(one: SetOnLine, moment: Any, slug: str) -> dict[str, Any]:
    words = [due_words(one.due_at, one.tz)]
    if one.due_at is not None:
        zone = zone_name(one.due_at.astimezone(ZoneInfo(one.tz)))
        words = [f"{words[0]} {zone}", left(one.due_at, moment)]
    return {
        "type": "Feature",
        "id": str(one.id),
        "geometry": {"type": "Point", "coordinates": [one.lon, one.lat]},
        "properties": {
            "what": "set",
            "label": one.label,
            "line": one.line_name,
            "sign": sign_of(one, moment),
            "due": words,
            "who": one.responsible_name,
            "address": reverse("set", kwargs={"team": slug, "set_id": one.id}),
        },
    }
