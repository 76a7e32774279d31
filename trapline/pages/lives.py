"""Lives of parts: the curve of a kind, what to inspect before the season, the spares list."""

from typing import Any, cast
from uuid import UUID

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy

from trapline.ground.clock import now
from trapline.pages import curve
from trapline.pages.forms import PlainForm
from trapline.pages.guard import LEADS, team_page
from trapline.people.rights import Actor
from trapline.plans.lives import KindLife, Season, kind_life, season_ahead
from trapline.standing.wear import By

BY = {
    "nights": gettext_lazy("nights in a set"),
    "springings": gettext_lazy("springings"),
    "catches": gettext_lazy("catches"),
}
MOST_SHOWN = 40


class SeasonForm(PlainForm):
    """How long the season is, and how sure the spares are to be."""

    nights = forms.FloatField(
        label=gettext_lazy("Nights each device will stand"), min_value=1, max_value=366, initial=60
    )
    chance = forms.FloatField(
        label=gettext_lazy("The spares are to be enough with a chance of (%)"),
        min_value=50,
        max_value=99.9,
        initial=90,
    )


@team_page(LEADS)
def season(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Five statements beside the guard's: kinds, spent roles, wear, stock, catches by season."""
    form = SeasonForm(request.GET or {"nights": 60, "chance": 90})
    found: Season | None = None
    if form.is_valid():
        said = form.cleaned_data
        found = season_ahead(actor.team, now(), said["nights"], said["chance"] / 100)
    shown = {"form": form, "season": found, "most": MOST_SHOWN}
    return render(request, "season_gear.html", shown, status=200 if found else 422)


@team_page(LEADS)
def part_kind(request: HttpRequest, actor: Actor, part_kind_id: UUID) -> HttpResponse:
    """A kind's curve with a table beside it. Two statements beside the guard's: kind and wear."""
    asked = request.GET.get("by", "nights")
    by = cast(By, asked if asked in BY else "nights")
    life = kind_life(actor.team, part_kind_id, by, now())
    shown = {
        "life": life,
        "by": by,
        "words": BY[by],
        "ways": BY,
        "drawing": curve.drawn(life),
        "size": (curve.WIDTH, curve.HEIGHT),
        "figures": _figures(life),
        "parts": sorted(life.parts, key=lambda one: -one.served(by))[:300],
    }
    return render(request, "part_kind.html", shown)


def _figures(life: KindLife) -> dict[str, Any]:
    if life.curve is None:
        return {}
    low, high = life.curve.shape_limits()
    shares = (0.1, 0.5, 0.9)
    band = life.curve.lasting(shares)
    return {
        "shape": (life.curve.shape, low, high),
        "wears": "wears" if low > 1 else "early" if high < 1 else "unsure",
        "lasting": list(
            zip([round(100 * s) for s in shares], band.value, band.lower, band.upper, strict=True)
        ),
    }
