"""All cautions on one page, for the wall or the pack."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from trapline.ground.words_of_cautions import CAUTIONS, LOCAL
from trapline.journal.team_settings import numbers_to_call
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.people.rights import Actor


@team_page(ANYONE_IN_TEAM)
def cautions(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The catalogue, with the numbers to call. One statement beside the guard's."""
    shown = {
        "cautions": CAUTIONS.values(),
        "local": LOCAL,
        "calls": numbers_to_call(actor.team),
    }
    return render(request, "cautions.html", shown)
