"""Yield by line, set, device, placement, bait, species, month or season; two side by side."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from trapline.calc.compare import RateRatio
from trapline.calc.devices import Efficiency, Share
from trapline.calc.rates import RateFigure
from trapline.ground.clock import now
from trapline.lines.selectors import zone_of_team
from trapline.pages.chart import Point, chart
from trapline.pages.guard import ANYONE_IN_TEAM, team_of, team_page
from trapline.pages.reports import PeriodForm, asked_form, days_words, figure_words
from trapline.pages.today import only_own
from trapline.people.rights import Actor
from trapline.reports.grouped import BY, Group, compared, grouped
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
}
CHARTED = 40


@team_page(ANYONE_IN_TEAM)
def grouped_page(request: HttpRequest, actor: Actor, by: str) -> HttpResponse:
    """The yield by one thing; a member's own looks only.

    One statement beside the guard's where nothing has changed since, four where something has.
    """
    form, told = _told(request, actor, by)
    status = 200 if form.is_valid() else 422
    return render(request, "reports_grouped.html", told, status=status)


@team_page(ANYONE_IN_TEAM)
def grouped_file(request: HttpRequest, actor: Actor, by: str) -> HttpResponse:
    """The same page as PDF, its chart and the two that are compared with it."""
    form, told = _told(request, actor, by)
    if not form.is_valid():
        return render(request, "reports_grouped.html", told, status=422)
    team, labels = team_of(request).name, dict(told["choices"])
    told |= {
        "team": team,
        "own": _("only what you looked at yourself") if only_own(actor) else "",
        "days": days_words(form.period),
        "moment": now(),
        "tz": zone_of_team(actor.team),
        "first_label": labels.get(told["first"], ""),
        "second_label": labels.get(told["second"], ""),
    }
    made = laid_out("grouped_paper.html", told, team)
    answer = HttpResponse(made, content_type="application/pdf")
    answer["Content-Disposition"] = f'attachment; filename="{_("yield")}-{by}.pdf"'
    return answer


def _told(request: HttpRequest, actor: Actor, by: str) -> tuple[PeriodForm, dict[str, Any]]:
    """What page and paper show; the days asked for may be wrong, then no more than the form."""
    if by not in BY:
        raise Http404
    form = asked_form(request)
    told: dict[str, Any] = {
        "form": form, "query": request.GET.urlencode(), "by": by, "by_word": BY_WORDS[by],
        "ways": [(code, BY_WORDS[code]) for code in BY], "first": "", "second": "",
    }  # fmt: skip
    if not form.is_valid():
        return form, told
    groups = grouped(actor.team, by, form.period, member=only_own(actor))
    first, second = request.GET.get("a", ""), request.GET.get("b", "")
    both = None
    if first and second:
        both = compared(actor.team, by, form.period, first, second, member=only_own(actor))
    points = [
        Point(_label(by, one), *[None if x is None else 100 * x for x in _limits(one.figure.rate)])
        for one in groups[:CHARTED]
    ]
    told |= {
        "rows": [_row(by, one) for one in groups],
        "choices": [(one.key, _label(by, one)) for one in groups],
        "chart": chart(points) if any(one.value for one in points) else None,
        "first": first,
        "second": second,
        "both": both,
        "verdict": "" if both is None else verdict_words(both),
        "asked_both": bool(first and second),
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
    if told.dispersion > 1:
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


def share_words(told: Share) -> str:
    """A share with its Wilson limits, in per cent, and what it was counted of."""
    if told.share is None or told.limits is None:
        return "–"
    return _("%(n)s of %(of)s (%(low)s to %(high)s %%)") % {
        "n": told.count, "of": told.of, "low": f"{100 * told.limits.lower:.0f}",
        "high": f"{100 * told.limits.upper:.0f}",
    }  # fmt: skip


def range_words(told: Efficiency) -> str:
    """Efficiency as a range over unknown signs."""
    if told.least.share is None:
        return "–"
    if told.most.share is None:
        return _("unknown")
    low, high = round(100 * told.least.share), round(100 * told.most.share)
    return f"{low} %" if low == high else _("%(low)s to %(high)s %%") % {"low": low, "high": high}


def verdict_words(both: RateRatio) -> str:
    """What can be said of two rates, in plain words."""
    if both.ratio is None or both.lower is None or both.upper is None:
        return _("No ratio: one of them has no figure, no catch or fewer than four sets.")
    limits = {"low": f"{both.lower:.2f}", "high": f"{both.upper:.2f}"}
    if both.verdict == "cannot_tell":
        return (
            _(
                "These checks cannot tell them apart: anything from %(low)s to %(high)s times the "
                "second’s rate fits."
            )
            % limits
        )
    words = _("The first’s rate is %(ratio)s times the second’s (%(low)s to %(high)s).")
    return words % {"ratio": f"{both.ratio:.2f}", **limits}
