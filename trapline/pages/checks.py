"""Logging a check, correcting one, an animal waiting."""

import json
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from trapline.duties.selectors import duties_of_set
from trapline.ground.errors import NotYours
from trapline.ground.ids import new_id
from trapline.journal.team_settings import numbers_to_call
from trapline.lines.models import Check, Waiting
from trapline.lines.selectors import number_books
from trapline.lines.words import Fate
from trapline.pages.check_form import MOST_CATCHES, CheckForm, Options
from trapline.pages.forms import left_words, person_units, posted
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.pages.placing import device_words
from trapline.pages.set_forms import CloseWaitingForm, WaitingForm
from trapline.pages.today import only_own
from trapline.people.rights import Actor
from trapline.people.selectors import members_in_office
from trapline.rulebook.selectors import species_cards
from trapline.standing.selectors import SetSheet, free_devices, set_sheet


def _options(request: HttpRequest, actor: Actor, sheet: SetSheet) -> Options:
    cards = species_cards(actor.team)
    targets = set(sheet.targets)
    cards.sort(key=lambda card: card.id not in targets)
    waiting = [
        (str(duty.waiting), duty.species or _("species not known"))
        for duty in duties_of_set(actor.team, sheet.id)
        if duty.waiting is not None
    ]
    return Options(
        zone=sheet.tz,
        units=person_units(request.user),
        species=[(str(card.id), card.name) for card in cards],
        members=[(str(one.id), one.name) for one in members_in_office(actor.team)],
        devices=[
            (str(one.id), f"{device_words(one)} · {one.kind}") for one in free_devices(actor.team)
        ],
        waiting=waiting,
    )


def _how_many(request: HttpRequest) -> int:
    """How many animals the form holds: as many as it was sent with, one more when asked for."""
    sent = sum(name.startswith("catch-") and name.endswith("-animal") for name in request.POST)
    return min(max(sent, 1) + ("more" in request.POST), MOST_CATCHES)


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def check(request: HttpRequest, actor: Actor, set_id: UUID) -> HttpResponse:
    """Log a check: the act log_check. `quick` is the button “in order, left as it was”."""
    sheet = set_sheet(actor.team, set_id, only_own(actor))
    options = _options(request, actor, sheet)
    sent = request.POST.copy() if request.method == "POST" else None
    if sent is not None and "quick" in sent:
        sent["found"], sent["how_seen"] = "in_order", "at_set"
        sent.setlist("done", ["left"])
    started: dict[str, Any] = {}
    if "waiting" in request.GET:  # its catch is to be logged
        started = {"found": "animal", "ends_waiting": request.GET["waiting"]}
    form = CheckForm(
        sent, options=options, set_id=set_id, catches=_how_many(request), initial=started
    )
    if sent is not None and "more" not in sent and form.file(actor, "log_check"):
        messages.success(request, left_words(form) or _("The check is kept."))
        return redirect("set", team=actor.team_slug, set_id=set_id)
    shown = {
        "set": sheet,
        "form": form if sent is None or "more" not in sent else _unjudged(form),
        "books": number_books(actor.team, sheet.licence),
        "fresh": {"act": new_id(), "check": new_id()},
    }
    return render(request, "check.html", shown, status=422 if form.refused else 200)


def _unjudged(form: CheckForm) -> CheckForm:
    """A form that asks for one animal more is shown as it was typed, without complaints."""
    for each in (form, *form.catches):
        each.errors.clear()
    return form


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def correct(request: HttpRequest, actor: Actor, set_id: UUID, check_id: UUID) -> HttpResponse:
    """Correct a check or withdraw it: the act correct_check. Both stay in the record."""
    sheet = set_sheet(actor.team, set_id, only_own(actor))
    wrong = Check.objects.filter(id=check_id, set_id=set_id).select_related("act").first()
    if wrong is None or not (actor.leads or wrong.by_id == actor.member):
        raise NotYours
    form = _Correction(
        posted(request),
        options=_options(request, actor, sheet),
        set_id=set_id,
        catches=_how_many(request),
        initial=_as_typed(json.loads(bytes(wrong.act.body))["body"]),
        corrects=check_id,
        withdraw="withdraw" in request.POST,
    )
    if request.method == "POST" and "more" not in request.POST:
        if form.file(actor, "correct_check"):
            done = _("The correction is kept beside what it corrects.")
            messages.success(request, left_words(form) or done)
            return redirect("set", team=actor.team_slug, set_id=set_id)
    elif request.method == "POST":
        _unjudged(form)
    shown = {
        "set": sheet,
        "form": form,
        "correcting": wrong,
        "books": number_books(actor.team, sheet.licence),
    }
    return render(request, "check.html", shown, status=422 if form.refused else 200)


class _Correction(CheckForm):
    def __init__(self, *args: Any, corrects: UUID, withdraw: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.corrects, self.withdraw = corrects, withdraw
        del self.fields["when"]
        if withdraw:
            for field in self.fields.values():
                field.required = False

    def is_valid(self) -> bool:
        if not self.withdraw:
            return super().is_valid()
        self.errors.clear()  # of the rest of the form, which a withdrawal does not ask for
        return "act" in self.cleaned_data

    def moment(self) -> None:
        return None

    def body(self) -> dict[str, Any]:
        if self.withdraw:
            return {"corrects": self.corrects, "withdraw": True}
        return {"corrects": self.corrects, "check": super().body()}


def _as_typed(body: dict[str, Any]) -> dict[str, Any]:
    """A kept check as the first values of a form."""
    said: dict[str, Any] = body.get("check") if isinstance(body.get("check"), dict) else body  # type: ignore[assignment]
    values = {name: value for name, value in said.items() if name not in ("check", "set")}
    if place := (said.get("moved_to") or {}).get("place"):
        values["lon"], values["lat"] = place
    if raised := said.get("raised_to"):
        values["height"] = float(raised["loop_height_m"])
    if position := said.get("position"):
        values["here_lon"], values["here_lat"] = position
    for name in ("snow_depth_m", "water_depth_m", "accuracy_m"):
        if values.get(name) is not None:
            values[name] = float(values[name])
    if said.get("seen_from_m") is not None:
        values["seen_from"] = float(said["seen_from_m"])
    for each in values.get("catches", []):
        each["alive_on_arrival"] = "yes" if each["alive_on_arrival"] else "no"
        if each.get("weight_kg") is not None:
            each["weight_kg"] = float(each["weight_kg"])
    return values


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def waiting(request: HttpRequest, actor: Actor, set_id: UUID) -> HttpResponse:
    """Raise the alarm: the act animal_waiting."""
    sheet = set_sheet(actor.team, set_id, only_own(actor))
    cards = species_cards(actor.team)
    form = WaitingForm(
        posted(request),
        set_id=set_id,
        species=[(str(card.id), card.name) for card in cards],
    )
    if request.method == "POST" and form.file(actor, "animal_waiting"):
        done = _("The alarm is raised. Stay away from the animal and call.")
        messages.success(request, left_words(form) or done)
        return redirect("set", team=actor.team_slug, set_id=set_id)
    shown = {
        "set": sheet,
        "form": form,
        "cards": cards,
        "calls": numbers_to_call(actor.team),
    }
    return render(request, "waiting.html", shown, status=422 if form.errors else 200)


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def close_waiting(request: HttpRequest, actor: Actor, waiting: UUID) -> HttpResponse:
    """Say how an animal's waiting ended: the act close_waiting."""
    found = Waiting.objects.filter(id=waiting).select_related("species").first()
    if found is None:
        raise NotYours
    sheet = set_sheet(actor.team, found.set_id, only_own(actor))
    form = CloseWaitingForm(posted(request), waiting=waiting)
    if request.method == "POST" and form.file(actor, "close_waiting"):
        messages.success(request, _("It is kept how the waiting ended."))
        if form.cleaned_data["fate"] != Fate.GOT_AWAY:
            messages.info(request, _("Now log the check with the animal: the harvest asks for it."))
        return redirect("set", team=actor.team_slug, set_id=sheet.id)
    shown = {"set": sheet, "form": form, "waiting": found}
    return render(request, "close_waiting.html", shown, status=422 if form.errors else 200)
