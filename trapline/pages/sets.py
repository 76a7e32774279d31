"""A set's page: how it stands, what is due and why, what happened; and the acts that end it."""

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from trapline.binding.why import why
from trapline.binding.world import World
from trapline.duties.selectors import OpenDuty, duties_of_set, timeline
from trapline.findings.selectors import findings_of_set
from trapline.findings.tending import who_may_tend
from trapline.ground.clock import now
from trapline.pages.backdrop import STRIP, backdrop, per_cent
from trapline.pages.bound_words import standing_words
from trapline.pages.findings import rows_of
from trapline.pages.forms import left_words, person_units, posted
from trapline.pages.guard import ANYONE_IN_TEAM, LEADS, MANAGES, team_page
from trapline.pages.ribbon import Standing
from trapline.pages.set_forms import EndForm, HandOverForm
from trapline.pages.today import only_own
from trapline.people.rights import Actor
from trapline.people.selectors import members_in_office
from trapline.standing.selectors import parts_of, set_sheet
from trapline.wording.rule_words import rule_sentence

HOURS = 24  # of the small ribbon


@team_page(ANYONE_IN_TEAM)
def set_page(request: HttpRequest, actor: Actor, set_id: UUID) -> HttpResponse:
    """Statements beside the guard's: the sheet, duties, parts, findings, timeline, and why."""
    sheet, moment = set_sheet(actor.team, set_id, only_own(actor)), now()
    duties = duties_of_set(actor.team, set_id)
    verdicts = _verdicts(request, actor, set_id, moment) if sheet.active else []
    shown = {
        "set": sheet,
        "moment": moment,
        "duties": duties,
        "marks": _marks(duties, moment),
        "verdicts": verdicts,
        "monitored": any(one["verdict"].rule.form == "monitored" for one in verdicts),
        "findings": rows_of(findings_of_set(actor.team, sheet), person_units(request.user)),
        "parts": parts_of(actor.team, [sheet.device]),
        "events": timeline(actor.team, set_id),
        "behind": backdrop(moment, HOURS, sheet.place, sheet.tz, STRIP),
    }
    return render(request, "set.html", shown)


def _marks(duties: list[OpenDuty], moment: datetime) -> list[Standing]:
    end = moment + timedelta(hours=HOURS)
    found = []
    for duty in duties:
        if duty.due_at is not None and moment < duty.due_at < end:
            x = per_cent(duty.due_at, moment, HOURS)
            found.append(Standing(x, duty.kind, False, 1, duty.due_at, duty.due_at))
    return found


def _verdicts(
    request: HttpRequest, actor: Actor, set_id: UUID, moment: datetime
) -> list[dict[str, Any]]:
    """The rules on the set, each with its sentence and how it stands to the others."""
    units = person_units(request.user)
    return [
        {
            "verdict": one,
            "says": rule_sentence(one.rule, units),
            "standing": standing_words(one.standing, one.granted),
        }
        for one in why(actor.team, set_id, World(moment)).verdicts
    ]


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def pull(request: HttpRequest, actor: Actor, set_id: UUID) -> HttpResponse:
    """Pull the set: the act pull_set."""
    return _end(request, actor, set_id, "pull_set", _("The set is pulled."))


@team_page(MANAGES, "GET", "POST")
def close_as_lost(request: HttpRequest, actor: Actor, set_id: UUID) -> HttpResponse:
    """Close the set as lost, after recorded searches: the act close_as_lost."""
    return _end(request, actor, set_id, "close_as_lost", _("The set is closed as lost."))


def _end(request: HttpRequest, actor: Actor, set_id: UUID, kind: str, done: str) -> HttpResponse:
    sheet = set_sheet(actor.team, set_id, only_own(actor))
    form = EndForm(posted(request), set_id=set_id)
    if request.method == "POST" and form.file(actor, kind):
        messages.success(request, left_words(form) or done)
        return redirect("set", team=actor.team_slug, set_id=set_id)
    shown = {"set": sheet, "form": form, "kind": kind}
    return render(request, "end_set.html", shown, status=422 if form.errors else 200)


@team_page(LEADS, "GET", "POST")
def hand_over(request: HttpRequest, actor: Actor, set_id: UUID) -> HttpResponse:
    """Make somebody else responsible: the act hand_over. The licence stays.

    Whoever may not tend it under that licence is marked; left to them it is a finding at once.
    """
    sheet = set_sheet(actor.team, set_id, only_own(actor))
    tenders = who_may_tend(actor.team, set_id, World(now()))
    without = _("%(name)s (no paper for this licence)")
    form = HandOverForm(
        posted(request),
        set_id=set_id,
        members=[
            (str(m.id), m.name if tenders.may(m.id) else without % {"name": m.name})
            for m in members_in_office(actor.team)
        ],
        initial={"to": str(sheet.responsible)},
    )
    if request.method == "POST" and form.file(actor, "hand_over"):
        messages.success(request, _("The set is handed over."))
        return redirect("set", team=actor.team_slug, set_id=set_id)
    shown = {"set": sheet, "form": form, "tenders": tenders}
    return render(request, "hand_over.html", shown, status=422 if form.errors else 200)
