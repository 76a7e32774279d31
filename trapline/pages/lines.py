"""Lines: the list, a line's page with its sets, its print sheet, drawing one."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.duties.selectors import SetOnLine, sets_on_lines
from trapline.ground.clock import now
from trapline.ground.errors import NotYours
from trapline.ground.ids import new_id
from trapline.lines.models import Line
from trapline.lines.selectors import access_line
from trapline.lines.words import LineStatus, Travel
from trapline.pages.backdrop import STRIP, backdrop
from trapline.pages.codes import qr_svg
from trapline.pages.forms import ActForm, posted
from trapline.pages.guard import ANYONE_IN_TEAM, LEADS, team_of, team_page
from trapline.pages.paths import PathField
from trapline.pages.rows import Rows
from trapline.pages.today import only_own
from trapline.pages.zones import zone_choices
from trapline.people.rights import Actor
from trapline.reports.papers.pdf import laid_out
from trapline.standing.selectors import lines_in_play, sets_by_line

MOST = 500
STRIP_HOURS = 24


class LineForm(ActForm):
    """A line's name, zone, travel, status and path."""

    at_field = {"tz": "tz", "path": "path"}
    line = forms.UUIDField(widget=forms.HiddenInput)
    name = forms.CharField(label=gettext_lazy("Name"), max_length=120)
    tz = forms.ChoiceField(
        label=gettext_lazy("Time zone"),
        help_text=gettext_lazy("Every due time on this line is reckoned on this clock."),
    )
    travel = forms.ChoiceField(label=gettext_lazy("How it is travelled"), choices=Travel.choices)
    status = forms.ChoiceField(
        label=gettext_lazy("Status"), choices=LineStatus.choices, initial=LineStatus.OPEN
    )
    path = PathField(label=gettext_lazy("Path"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("line", new_id())
        self.fields["tz"].choices = zone_choices()  # type: ignore[attr-defined]

    def body(self) -> dict[str, Any]:
        body = super().body()
        path = body.pop("path")
        return body | {"path": {"type": "LineString", "coordinates": path} if path else None}


@team_page(ANYONE_IN_TEAM)
def lines(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The lines an actor has to do with. Two statements beside the guard's."""
    member = only_own(actor)
    count = sets_by_line(actor.team, member)
    found = [
        {"line": line, "sets": count.get(line.id, 0)} for line in lines_in_play(actor.team, member)
    ]
    return render(request, "lines.html", {"lines": found})


def _shown(request: HttpRequest, actor: Actor, line_id: UUID) -> dict[str, Any]:
    line, moment = access_line(actor.team, line_id), now()
    sets = sets_on_lines(actor.team, only_own(actor), lines=[line_id], most=MOST)
    if not sets and not actor.leads:
        raise NotYours
    shown: dict[str, Any] = {"line": line, "sets": sets, "moment": moment, "most": MOST}
    shown["rows"] = Rows(actor, team_of(request), moment).of_sets(sets)
    at = _somewhere(line, sets)
    if at is not None:
        shown["behind"] = backdrop(moment, STRIP_HOURS, at, line.tz, STRIP)
    return shown


def _somewhere(line: Line, sets: list[SetOnLine]) -> tuple[float, float] | None:
    """A place on the line, for its sun: latitude and longitude."""
    if sets:
        return sets[0].lat, sets[0].lon
    return (line.path[0][1], line.path[0][0]) if line.path else None


@team_page(ANYONE_IN_TEAM)
def line(request: HttpRequest, actor: Actor, line_id: UUID) -> HttpResponse:
    """A line with its sets, the nearest due first. Three statements beside the guard's."""
    shown = _shown(request, actor, line_id)
    shown["ended"] = sets_on_lines(
        actor.team, only_own(actor), lines=[line_id], ended=True, most=MOST
    )
    return render(request, "line.html", shown)


@team_page(ANYONE_IN_TEAM)
def sheet(request: HttpRequest, actor: Actor, line_id: UUID) -> HttpResponse:
    """The line on paper: its sets with room to write, each with a code that opens its page."""
    return render(request, "sheet.html", _coded(request, actor, line_id))


@team_page(ANYONE_IN_TEAM)
def sheet_file(request: HttpRequest, actor: Actor, line_id: UUID) -> HttpResponse:
    """The same sheet as PDF, to be printed anywhere and kept in a pocket."""
    told = _coded(request, actor, line_id) | {"request": request, "team": team_of(request).name}
    made = laid_out("sheet_paper.html", told, f"{told['team']} · {told['line'].name}")
    answer = HttpResponse(made, content_type="application/pdf")
    answer["Content-Disposition"] = f'attachment; filename="{_("sheet")}.pdf"'
    return answer


def _coded(request: HttpRequest, actor: Actor, line_id: UUID) -> dict[str, Any]:
    """The line's sets, each with a code that opens its page."""
    shown = _shown(request, actor, line_id)
    return shown | {"coded": [(one, _code(request, actor, one)) for one in shown["sets"]]}


def _code(request: HttpRequest, actor: Actor, one: SetOnLine) -> SafeString:
    path = reverse("set", kwargs={"team": actor.team_slug, "set_id": one.id})
    words = _("Code of %(label)s") % {"label": one.label}
    return qr_svg(request.build_absolute_uri(path), words)


@team_page(LEADS, "GET", "POST")
def new_line(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Draw a line: the act draw_line."""
    return _drawn(request, actor, LineForm(posted(request)), None)


@team_page(LEADS, "GET", "POST")
def change_line(request: HttpRequest, actor: Actor, line_id: UUID) -> HttpResponse:
    """Change a line: the act draw_line with its id."""
    line = access_line(actor.team, line_id)
    started = {
        "line": line.id, "name": line.name, "tz": line.tz, "travel": line.travel,
        "status": line.status, "path": [list(point) for point in line.path] if line.path else None,
    }  # fmt: skip
    form = LineForm(posted(request), initial=started)
    return _drawn(request, actor, form, line)


def _drawn(request: HttpRequest, actor: Actor, form: LineForm, line: Line | None) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        if line is not None:
            form.cleaned_data["line"] = line.id
        if form.file(actor, "draw_line"):
            messages.success(request, _("The line is kept."))
            return redirect("line", team=actor.team_slug, line_id=form.cleaned_data["line"])
    shown = {"form": form, "line": line}
    return render(request, "line_form.html", shown, status=422 if form.errors else 200)
