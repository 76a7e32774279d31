"""Sets from a file: choose it, see row by row what would happen, place the good rows or go back."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from trapline.gear.selectors import device_marks
from trapline.ground.clock import now
from trapline.ground.errors import Refused
from trapline.ground.words import sentence
from trapline.lines.formats.csv_in import COLUMNS, NEEDED
from trapline.lines.formats.draft import Row
from trapline.lines.models import Line
from trapline.lines.selectors import access_line
from trapline.pages.forms import posted
from trapline.pages.guard import LEADS, team_page
from trapline.pages.import_drawing import Spot, drawn
from trapline.pages.import_form import ImportForm
from trapline.pages.import_words import example_csv, explained
from trapline.people.rights import Actor
from trapline.people.selectors import members_in_office
from trapline.record.import_sets import Planned, PlannedAct, dry_run, place, planned_acts
from trapline.standing.selectors import lines_in_play
from trapline.wording.vocabulary import label_of

SHOWN_WORDS = ("line", "device", "placement", "responsible")


@dataclass(frozen=True)
class RowShown:
    """A row of the dry run, in the team's words where it can be placed, else in the file's own."""

    line_no: int
    label: str
    good: bool
    place: tuple[float, float] | None  # latitude and longitude
    line: str
    device: str
    placement: str
    responsible: str
    at: datetime | None
    reasons: list[str]


@team_page(LEADS, "GET", "POST")
def import_sets(request: HttpRequest, actor: Actor, line_id: UUID) -> HttpResponse:
    """Choose a file; then a dry run of it, of which nothing is written."""
    line = access_line(actor.team, line_id)
    form = ImportForm(posted(request), request.FILES or None, actor=actor, tz=line.tz)
    shown: dict[str, Any] = {"line": line, "form": form}
    if request.method == "POST" and form.is_valid():
        planned = dry_run(actor, form.rows, form.defaults(line.id), now=now())
        rows = _rows(actor, line, form.rows, planned)
        spots = [Spot(one.line_no, one.place[1], one.place[0], one.good)
                 for one in rows if one.place is not None]  # fmt: skip
        shown |= {
            "rows": rows,
            "good": sum(one.good for one in rows),
            "acts": _sent([one.act for one in planned if one.act is not None]),
            "drawing": drawn(spots, [(lon, lat) for lon, lat in line.path or ()]),
        }
    return _shown(request, shown)


@team_page(LEADS, "POST")
def place_import(request: HttpRequest, actor: Actor, line_id: UUID) -> HttpResponse:
    """Place the good rows of a dry run, each an act of its own; sent twice, still once."""
    line = access_line(actor.team, line_id)
    form = ImportForm(request.POST, actor=actor, tz=line.tz)
    shown: dict[str, Any] = {"line": line, "form": form}
    try:
        acts = planned_acts(request.POST.get("acts", ""))
    except Refused as error:
        form.show(*error.problems)
        return _shown(request, shown)
    placed = place(actor, acts, now=now())
    refused = [(act, one) for act, one in zip(acts, placed, strict=True) if one.problems]
    there = len(acts) - len(refused)
    if there:
        said = ngettext("%(n)s set is placed.", "%(n)s sets are placed.", there)
        messages.success(request, said % {"n": there})
    if not refused:
        return redirect("line", team=actor.team_slug, line_id=line.id)
    shown["refused"] = [
        (act.body.get("label", ""), [sentence(problem) for problem in one.problems])
        for act, one in refused
    ]
    shown["acts"] = _sent([act for act, _one in refused])
    return _shown(request, shown)


@team_page(LEADS)
def import_example(request: HttpRequest, actor: Actor) -> HttpResponse:
    """A table to begin with: two rows under the columns that a file of sets may have."""
    answer = HttpResponse(example_csv(), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="sets-example.csv"'
    return answer


def _shown(request: HttpRequest, shown: dict[str, Any]) -> HttpResponse:
    form = shown["form"]
    wrong = bool(form.errors or "refused" in shown) and request.method == "POST"
    shown |= {"columns": explained(COLUMNS), "needed": NEEDED}
    return render(request, "import_sets.html", shown, status=422 if wrong else 200)


def _sent(acts: Sequence[PlannedAct]) -> str:
    said = [{"act": str(one.act), "at": one.at.isoformat(), "body": one.body} for one in acts]
    return json.dumps({"acts": said}, ensure_ascii=False)


def _rows(
    actor: Actor, line: Line, rows: Sequence[Row], planned: Sequence[Planned]
) -> list[RowShown]:
    """Each row beside what would become of it. Three statements for the names, however many."""
    bodies = [one.act.body for one in planned if one.act is not None]
    marks = device_marks(actor.team, [UUID(body["device"]) for body in bodies])
    members = {str(one.id): one.name for one in members_in_office(actor.team)}
    lines = {str(one.id): one.name for one in lines_in_play(actor.team)}

    def shown(row: Row, one: Planned) -> RowShown:
        said = {} if row.draft is None else dict(row.draft.words)
        place = None if row.draft is None else (row.draft.lat, row.draft.lon)
        if one.act is not None:
            body = one.act.body
            said = {
                "line": "" if body["line"] == str(line.id) else lines.get(body["line"], ""),
                "device": marks.get(UUID(body["device"]), ""),
                "placement": label_of("placement", body["placement"]),
                "responsible": members.get(body.get("responsible", ""), actor.name),
            }
        at = one.act.at if one.act is not None else row.draft.at if row.draft else None
        return RowShown(
            line_no=row.line_no,
            label=one.label,
            good=one.act is not None,
            place=place,
            at=at,
            reasons=[_reason(problem) for problem in one.problems],
            **{name: said.get(name, "") for name in SHOWN_WORDS},
        )

    return [shown(row, one) for row, one in zip(rows, planned, strict=True)]


def _reason(problem: Any) -> str:
    """The column that is meant, and what is wrong with it."""
    column = problem.field.split(".")[0]
    said = sentence(problem)
    return said if column in ("row", "file", "body", "") else _("%(column)s: %(said)s") % {
        "column": column, "said": said,
    }  # fmt: skip
