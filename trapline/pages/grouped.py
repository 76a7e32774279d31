"""Yield by line, set, device, placement, bait, species, month, season or member; two side by side.

Groups stand by name and never by what they gave: members differ in their sets. A member sees their
own looks only, whatever they group them by.
"""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from trapline.calc.devices import Efficiency
from trapline.calc.rates import RateFigure
from trapline.ground.clock import now
from trapline.lines.selectors import zone_of_team
from trapline.pages.chart import Point, chart
from trapline.pages.guard import ANYONE_IN_TEAM, team_of, team_page
from trapline.pages.reports import PeriodForm, asked_form
from trapline.pages.side_by_side import two_groups, two_periods
from trapline.pages.today import only_own
from trapline.pages.words_of_figures import days_words, figure_words, share_words, unbroken
from trapline.people.rights import Actor
from trapline.reports.grouped import BY, Group, grouped
from trapline.reports.papers.pdf import laid_out
from trapline.wording.vocabulary import label_of

BY_WORDS = {
    "line": gettext_lazy("Line"),
    "set": gettext_lazy("Set"),
    "device": gettext_lazy("Device"),
    "placement": gettext_lazy("Placement"),
    "bait": gettext_lazy("Bait"),
    "species": gettext_lazy("Species aimed at"),
    "month": gettext_lazy("Month"),
    "season": gettext_lazy("Season"),
    "member": gettext_lazy("Member"),
}
CHARTED = 40


@team_page(ANYONE_IN_TEAM)
def grouped_page(request: HttpRequest, actor: Actor, by: str) -> HttpResponse:
    """The yield by one thing; a member's own looks only.

    One statement beside the guard's where nothing has changed since, four where something has.
    """
    form, told = _told(request, actor, by)
    return render(request, "reports_grouped.html", told, status=_status(form, told))


@team_page(ANYONE_IN_TEAM)
def grouped_file(request: HttpRequest, actor: Actor, by: str) -> HttpResponse:
    """The same page as PDF, its chart and the two that are compared with it."""
    form, told = _told(request, actor, by)
    if (status := _status(form, told)) != 200:
        return render(request, "reports_grouped.html", told, status=status)
    team = team_of(request).name
    told |= {
        "team": team,
        "paper": True,
        "own": _("only what you looked at yourself") if only_own(actor) else "",
        "days": days_words(form.period),
        "moment": now(),
        "tz": zone_of_team(actor.team),
    }
    made = laid_out("grouped_paper.html", told, team)
    answer = HttpResponse(made, content_type="application/pdf")
    answer["Content-Disposition"] = f'attachment; filename="{_("yield")}-{by}.pdf"'
    return answer


def _status(form: PeriodForm, told: dict[str, Any]) -> int:
    """422 where the days of the page, or of its two periods, cannot be used."""
    wrong = not form.is_valid() or bool(told["periods"].errors)
    return 422 if wrong else 200


def _told(request: HttpRequest, actor: Actor, by: str) -> tuple[PeriodForm, dict[str, Any]]:
    """What page and paper show; the days asked for may be wrong, then no more than the form."""
    if by not in BY:
        raise Http404
    form = asked_form(request)
    told: dict[str, Any] = {
        "form": form, "query": request.GET.urlencode(), "by": by, "by_word": BY_WORDS[by],
        "ways": [(code, BY_WORDS[code]) for code in BY],
    }  # fmt: skip
    if not form.is_valid():
        return form, told
    own = only_own(actor)
    groups = grouped(actor.team, by, form.period, member=own)
    choices = [(one.key, _label(by, one)) for one in groups]
    points = [
        Point(_label(by, one), *[None if x is None else 100 * x for x in _limits(one.figure.rate)])
        for one in groups[:CHARTED]
    ]
    told |= {
        "rows": [_row(by, one) for one in groups],
        "choices": choices,
        "chart": chart(points) if any(one.value for one in points) else None,
        **two_groups(request, actor.team, by, form.period, choices, own),
        **two_periods(request, actor.team, by, form.period, choices, own),
    }
    return form, told


def _limits(figure: RateFigure) -> tuple[float | None, float | None, float | None]:
    return figure.rate, figure.lower, figure.upper


def _label(by: str, group: Group) -> str:
    if by == "placement":
        return label_of("placement", group.label)
    if by == "season":
        return f"{group.label}/{(int(group.label) + 1) % 100:02}"
    return group.label or str(_("not said"))


def _row(by: str, group: Group) -> dict[str, Any]:
    beside, told = [], group.figure
    if told.alike is not None and told.rate.lower is not None:
        words = _("with all sets taken for alike %(rate)s")
        beside.append(words % {"rate": f"{100 * told.alike:.3g}"})
    if told.half_rate is not None:
        words = _("by the half-interval correction %(rate)s")
        beside.append(words % {"rate": f"{100 * told.half_rate:.3g}"})
    if told.bound is not None:
        words = ngettext(
            "%(n)s interval of unknown service left out; counted in, %(rate)s",
            "%(n)s intervals of unknown service left out; counted in, %(rate)s",
            told.undated,
        )
        beside.append(words % {"n": told.undated, "rate": f"{100 * told.bound:.3g}"})
    if told.dated:
        words = ngettext(
            "%(n)s device out of service counts up to when readings of snow or ice date it",
            "%(n)s devices out of service count up to when readings of snow or ice date it",
            told.dated,
        )
        beside.append(words % {"n": told.dated})
    if told.dispersion > 1 and told.rate.lower is not None:
        beside.append(_("limits widened: some nights all animals moved"))
    return {
        "label": _label(by, group),
        "group": group,
        "rate": figure_words(told.rate),
        "beside": "; ".join(beside),
        "selectivity": share_words(group.selectivity),
        "alive": share_words(group.alive),
        "efficiency": range_words(group.efficiency),
    }


def range_words(told: Efficiency) -> str:
    """Efficiency as a range over unknown signs."""
    if told.least.share is None:
        return "–"
    if told.most.share is None:
        return _("unknown")
    low, high = round(100 * told.least.share), round(100 * told.most.share)
    said = f"{low} %" if low == high else _("%(low)s to %(high)s %%") % {"low": low, "high": high}
    return unbroken(said)
