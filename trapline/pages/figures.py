"""The season in figures, by species, with last season beside it. It prints."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from trapline.calc.devices import Share
from trapline.ground.clock import now
from trapline.lines.selectors import day_of_team
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.pages.reports import asked_form
from trapline.pages.today import only_own
from trapline.pages.words_of_figures import figure_words, share_words
from trapline.people.rights import Actor
from trapline.reports.period import Period
from trapline.reports.season_figures import Figures, season_figures, season_of, year_before


@team_page(ANYONE_IN_TEAM)
def figures_page(request: HttpRequest, actor: Actor) -> HttpResponse:
    """This season, or the days asked for, and the same days a year before; a member's own looks.

    Five statements beside the guard's where nothing has changed: clock, for each season catches
    and effort.
    """
    form = asked_form(request)
    if not form.is_valid():
        return render(request, "figures.html", {"form": form}, status=422)
    season = season_of(day_of_team(actor.team, now()))
    days = Period(form.period.first or season.first, form.period.last or season.last)
    told = season_figures(actor.team, days, member=only_own(actor))
    page: dict[str, Any] = {
        "form": form,
        "query": request.GET.urlencode(),
        "days": days,
        "before": year_before(days),
        "rows": [(one, (_row(one.now), _row(one.before))) for one in told],
    }
    return render(request, "figures.html", page)


def _row(one: Figures) -> dict[str, Any]:
    return {
        "figures": one,
        "rate": _("no set was made for it") if one.rate is None else figure_words(one.rate),
        "female": known_share(one.female, one.taken, _("sex")),
        "juvenile": known_share(one.juvenile, one.taken, _("age class")),
    }


def known_share(told: Share, taken: int, what: str) -> str:
    """A share of those known, with its limits and how many are unknown; or why there is none."""
    if not taken:
        return _("none taken")
    if not told.of:
        return _("no figure: of none is the %(what)s known") % {"what": what}
    words = share_words(told)
    unknown = taken - told.of
    if not unknown:
        return words
    return _("%(words)s; of %(n)s unknown") % {"words": words, "n": unknown}
