"""A report that was filed: what it says, what it changed, its files."""

import json
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.clock import now
from trapline.lines.selectors import zone_of_team
from trapline.pages.forms import PlainForm, posted
from trapline.pages.guard import ANYONE_IN_TEAM, LEADS, MANAGES, team_page
from trapline.pages.reports import asked_period
from trapline.pages.today import only_own
from trapline.people.rights import Actor
from trapline.reports import runs
from trapline.reports.filed import access_filing, content
from trapline.reports.models import Filing, Run, RunState
from trapline.reports.occurrences import cell_of, occurrences_csv, put_cell
from trapline.reports.papers.pdf import about, shown
from trapline.reports.papers.tables import as_csv, as_json, as_xlsx, heads

PREVIEWED = 200
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_GOING = (RunState.WAITING, RunState.RUNNING)


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def filing(request: HttpRequest, actor: Actor, filing_id: UUID) -> HttpResponse:
    """A filed report. Posting asks for its PDF, or cancels the asking."""
    one = access_filing(actor.team, filing_id, only_own(actor))
    run = Run.objects.filter(filing=one, form="pdf").defer("file").first()
    if request.method == "POST":
        if "cancel" in request.POST and run is not None:
            runs.cancel(run.id)
            messages.success(request, _("The file is no longer being made."))
        else:
            runs.ask(actor, one, now())
        return redirect("filing", team=actor.team_slug, filing_id=one.id)
    answer = render(request, "filing.html", _told(actor, one, run))
    if run is not None and run.state in _GOING:
        answer["Refresh"] = "2"
    return answer


def _told(actor: Actor, one: Filing, run: Run | None) -> dict[str, Any]:
    said = content(one)
    return {
        "filing": one,
        "report": said,
        "about": about(said),
        "heads": heads(said),
        "rows": [[shown(cell) for cell in row["cells"]] for row in said["rows"][:PREVIEWED]],
        "more": max(len(said["rows"]) - PREVIEWED, 0),
        "changes": runs.changes_of(one),
        "amended_by": Filing.objects.filter(amends=one).values_list("id", flat=True).first(),
        "run": run,
        "going": run is not None and run.state in _GOING,
        "tz": zone_of_team(actor.team),
    }


@team_page(ANYONE_IN_TEAM)
def filing_file(request: HttpRequest, actor: Actor, filing_id: UUID, kind: str) -> HttpResponse:
    """A filed report as csv, xlsx, json, or as pdf when that is made."""
    one = access_filing(actor.team, filing_id, only_own(actor))
    said = content(one)
    if kind not in said["form"]["formats"]:
        raise Http404
    if kind == "csv":
        answer = HttpResponse(as_csv(said), content_type="text/csv; charset=utf-8")
    elif kind == "xlsx":
        answer = HttpResponse(as_xlsx(said, one.sha256), content_type=_XLSX)
    elif kind == "json":
        text = json.dumps(as_json(said, one.sha256), ensure_ascii=False, indent=1)
        answer = HttpResponse(text, content_type="application/json")
    else:
        run = Run.objects.filter(filing=one, form="pdf", state=RunState.DONE).first()
        if run is None:
            raise Http404
        answer = HttpResponse(bytes(run.file), content_type="application/pdf")
    name = f"{one.form_code}-{one.first}-{one.last}-{one.sha256[:8]}.{kind}"
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


class PlacesForm(PlainForm):
    """How far the places of animals are coarsened where they leave the team."""

    cell = forms.TypedChoiceField(
        label=gettext_lazy("A place is given as the middle of"),
        coerce=float,
        widget=forms.RadioSelect,
        choices=[
            ("0.01", gettext_lazy("a cell of 0.01 degrees: up to about 1 km")),
            ("0.1", gettext_lazy("a cell of 0.1 degrees: up to about 11 km")),
            ("1.0", gettext_lazy("a cell of 1 degree: up to about 111 km")),
            ("0.0", gettext_lazy("nothing: no place is given at all")),
        ],
        help_text=gettext_lazy(
            "Who does not need a set’s place does not get it: it shows thieves and the curious "
            "the way. Ask what the receiver needs before you choose a small cell."
        ),
    )


@team_page(MANAGES, "GET", "POST")
def places(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The team’s setting of how far places are coarsened. One statement beside the guard's."""
    form = PlacesForm(posted(request), initial={"cell": str(cell_of(actor.team))})
    if request.method == "POST" and form.is_valid():
        put_cell(actor.team, form.cleaned_data["cell"])
        messages.success(request, _("It holds for every file made from now on."))
        return redirect("filed", team=actor.team_slug)
    return render(request, "places.html", {"form": form}, status=422 if form.errors else 200)


@team_page(LEADS)
def occurrences(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Animals as Darwin Core occurrences, places coarsened."""
    period = asked_period(request)
    answer = HttpResponse(
        "".join(occurrences_csv(actor.team, period)), content_type="text/csv; charset=utf-8"
    )
    answer["Content-Disposition"] = f'attachment; filename="occurrences-{actor.team_slug}.csv"'
    return answer
