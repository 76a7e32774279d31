"""Reports: the harvest by licence and the yield table, as pages and as files."""

import json
from collections.abc import Callable, Iterable
from dataclasses import asdict
from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy

from trapline.ground.clock import now
from trapline.ground.errors import NotYours, Refused
from trapline.ground.words import sentence
from trapline.pages.fields import DayField
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.pages.today import only_own
from trapline.pages.words_of_figures import rate_words, share_words
from trapline.people.rights import Actor
from trapline.reports.files import harvest_csv, harvest_json, yields_csv, yields_json
from trapline.reports.harvest import Harvest, harvest, not_logged
from trapline.reports.period import Period
from trapline.reports.yields import MemberYield, yields


class PeriodForm(forms.Form):
    """From a day to a day. Left empty: since the record began, until now."""

    first = DayField(label=gettext_lazy("First day"), required=False)
    last = DayField(label=gettext_lazy("Last day"), required=False)
    licence = forms.UUIDField(required=False, widget=forms.HiddenInput)
    period = Period()

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        try:
            self.period = Period(said.get("first"), said.get("last"))
        except Refused as error:
            for problem in error.problems:
                self.add_error(problem.field, sentence(problem))
        return said

    def clean_licence(self) -> UUID | None:
        return self.cleaned_data["licence"]  # type: ignore[no-any-return]


def asked_form(request: HttpRequest) -> PeriodForm:
    form = PeriodForm(request.GET, label_suffix="")
    form.full_clean()
    if "licence" in form.errors:  # no person types it
        raise NotYours
    return form


def asked_period(request: HttpRequest) -> Period:
    """The days in an address; one that cannot be read is not there."""
    form = asked_form(request)
    if not form.is_valid():
        raise NotYours
    return form.period


def _harvest(actor: Actor, form: PeriodForm) -> Harvest:
    licence = form.cleaned_data.get("licence")
    return harvest(actor.team, form.period, licence=licence, holder=only_own(actor))


def _yields(actor: Actor, form: PeriodForm) -> list[MemberYield]:
    return yields(actor.team, form.period, now(), member=only_own(actor))


@team_page(ANYONE_IN_TEAM)
def harvest_page(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The harvest; a member sees that of their own licences. Two statements beside the guard's."""
    form = asked_form(request)
    found = _harvest(actor, form) if form.is_valid() else None
    shown = {
        "form": form,
        "harvest": found,
        "query": request.GET.urlencode(),
        "not_logged": not_logged(actor.team, only_own(actor)),
    }
    return render(request, "reports.html", shown, status=200 if found else 422)


@team_page(ANYONE_IN_TEAM)
def yields_page(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The yield table; a member sees their own row. Three statements beside the guard's where
    figures are kept."""
    form = asked_form(request)
    rows = None
    if form.is_valid():
        rows = [
            asdict(row)
            | {"rate_words": rate_words(row), "non_target_words": share_words(row.non_target)}
            for row in _yields(actor, form)
        ]
    shown = {"form": form, "rows": rows, "query": request.GET.urlencode()}
    return render(request, "reports_yields.html", shown, status=422 if rows is None else 200)


@team_page(ANYONE_IN_TEAM)
def harvest_file(request: HttpRequest, actor: Actor, form: str) -> HttpResponse:
    """The harvest as CSV or JSON."""
    asked = asked_form(request)
    if not asked.is_valid():
        return render(request, "reports.html", {"form": asked, "harvest": None}, status=422)
    found = _harvest(actor, asked)
    return _file(
        request, f"harvest-{actor.team_slug}", asked.period, form,
        csv=lambda bom: harvest_csv(found, bom=bom), values=lambda: harvest_json(found),
    )  # fmt: skip


@team_page(ANYONE_IN_TEAM)
def yields_file(request: HttpRequest, actor: Actor, form: str) -> HttpResponse:
    """The yield table as CSV or JSON."""
    asked = asked_form(request)
    if not asked.is_valid():
        return render(request, "reports_yields.html", {"form": asked, "rows": None}, status=422)
    rows = _yields(actor, asked)
    return _file(
        request, f"yields-{actor.team_slug}", asked.period, form,
        csv=lambda bom: yields_csv(rows, bom=bom),
        values=lambda: yields_json(rows, asked.period),
    )  # fmt: skip


def _file(
    request: HttpRequest, name: str, period: Period, form: str, *,
    csv: Callable[[bool], Iterable[str]], values: Callable[[], dict[str, Any]],
) -> HttpResponse:  # fmt: skip
    if form == "json":
        text = json.dumps(values(), ensure_ascii=False, indent=1)
    else:
        text = "".join(csv(request.GET.get("mark") == "1"))
    kind = {"csv": "text/csv; charset=utf-8", "json": "application/json"}[form]
    answer = HttpResponse(text, content_type=kind)
    answer["Content-Disposition"] = f'attachment; filename="{_named(name, period)}.{form}"'
    return answer


def _named(name: str, period: Period) -> str:
    days: list[date] = [day for day in (period.first, period.last) if day is not None]
    return "-".join([name, *(day.isoformat() for day in days)])
