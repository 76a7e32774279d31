"""A landowner's letter of the season: chosen days, its words, and the paper to sign."""

from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.clock import now
from trapline.ground.errors import Refused
from trapline.lines.selectors import day_of_team
from trapline.pages.fields import DayField
from trapline.pages.forms import PlainForm
from trapline.pages.guard import MANAGES, team_of, team_page
from trapline.people.rights import Actor
from trapline.reports.letter import Letter, letter
from trapline.reports.papers.pdf import laid_out
from trapline.reports.period import Period


class LetterForm(PlainForm):
    """The days that the letter is about, and what was agreed, in the team's words."""

    first = DayField(label=gettext_lazy("First day"))
    last = DayField(label=gettext_lazy("Last day"))
    share = forms.CharField(
        label=gettext_lazy("The agreed share, and how it was given"), required=False,
        max_length=1000, widget=forms.Textarea(attrs={"rows": 3}),
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        if "first" in said and "last" in said:
            try:
                said["period"] = Period(said["first"], said["last"])
            except Refused as error:
                self.show(*error.problems)
        return said


def _first_of_season(day: date) -> date:
    """The first of July before a day: a season is told by the year in which its July lies."""
    return date(day.year if day.month >= 7 else day.year - 1, 7, 1)


def _asked(request: HttpRequest, team: UUID) -> LetterForm:
    today = day_of_team(team, now())
    said = {"first": _first_of_season(today).isoformat(), "last": today.isoformat()}
    return LetterForm(said | request.GET.dict())


def _told(request: HttpRequest, form: LetterForm, one: Letter) -> dict[str, Any]:
    return {
        "form": form,
        "letter": one,
        "share": form.cleaned_data["share"],
        "team": team_of(request).name,
        "query": request.GET.urlencode(),
    }


@team_page(MANAGES)
def letter_page(request: HttpRequest, actor: Actor, permission_id: UUID) -> HttpResponse:
    """The letter as it will read. Four statements beside the guard's."""
    form = _asked(request, actor.team)
    if not form.is_valid():
        return render(request, "letter.html", {"form": form}, status=422)
    one = letter(actor.team, permission_id, form.cleaned_data["period"])
    return render(request, "letter.html", _told(request, form, one))


@team_page(MANAGES)
def letter_file(request: HttpRequest, actor: Actor, permission_id: UUID) -> HttpResponse:
    """The letter as PDF."""
    form = _asked(request, actor.team)
    if not form.is_valid():
        return render(request, "letter.html", {"form": form}, status=422)
    one = letter(actor.team, permission_id, form.cleaned_data["period"])
    told = _told(request, form, one)
    answer = HttpResponse(
        laid_out("letter_paper.html", told, told["team"]), content_type="application/pdf"
    )
    name = _("letter") + f"-{one.period.first}-{one.period.last}.pdf"
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
