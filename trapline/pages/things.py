"""One device and one part: what it is made of and bears, where it has been, what becomes of it."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.calc.strength.chain import Link, weakest
from trapline.gear.models import Kept, PartState
from trapline.gear.selectors import part_kinds
from trapline.lines.selectors import zone_of_team
from trapline.pages.forms import ActForm, posted, unchosen
from trapline.pages.guard import LEADS, team_page
from trapline.people.rights import Actor
from trapline.people.selectors import members_in_office
from trapline.standing.histories import device_history, part_history
from trapline.standing.selectors import parts_of


class KeepForm(ActForm):
    """Where a device is kept from now on."""

    device = forms.UUIDField(widget=forms.HiddenInput)
    how = forms.ChoiceField(label=gettext_lazy("It is"), choices=Kept.choices)
    member = forms.ChoiceField(label=gettext_lazy("Lent to"), required=False)
    place = forms.CharField(label=gettext_lazy("Place"), required=False, max_length=120)
    note = forms.CharField(label=gettext_lazy("Note"), required=False, max_length=2000)

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = [(str(one.id), one.name) for one in members_in_office(actor.team)]
        self.fields["member"].choices = [("", _("Nobody")), *people]  # type: ignore[attr-defined]

    def body(self) -> dict[str, Any]:
        body = super().body()
        return {**body, "member": body["member"] or None}


@team_page(LEADS, "GET", "POST")
def device_page(request: HttpRequest, actor: Actor, device_id: UUID) -> HttpResponse:
    """Five statements beside the guard's: device, history, parts, members, clock."""
    device, events = device_history(actor.team, device_id)
    form = KeepForm(posted(request), actor=actor, initial={"device": device.id})
    if request.method == "POST" and form.file(actor, "keep_device"):
        messages.success(request, _("It is written down."))
        return redirect("device", team=actor.team_slug, device_id=device.id)
    parts = parts_of(actor.team, [device.id])
    strength = weakest([Link(one.role, one.kind, one.breaking_load_n) for one in parts])
    shown = {
        "device": device, "events": events, "parts": parts, "strength": strength, "form": form,
        "tz": zone_of_team(actor.team),
    }  # fmt: skip
    return render(request, "device.html", shown, status=422 if form.errors else 200)


class PutForm(ActForm):
    """What becomes of a loose part."""

    part = forms.UUIDField(widget=forms.HiddenInput)
    state = forms.ChoiceField(
        label=gettext_lazy("It is"),
        choices=[one for one in PartState.choices if one[0] != PartState.BUILT_IN],
    )
    why = forms.ChoiceField(
        label=gettext_lazy("Why"),
        required=False,
        choices=[
            ("", gettext_lazy("Not said")),
            ("worn", gettext_lazy("Worn out")),
            ("inspected", gettext_lazy("Looked over, in order")),
            ("mended", gettext_lazy("Mended")),
            ("found", gettext_lazy("Found again")),
            ("other", gettext_lazy("Another reason")),
        ],
    )
    place = forms.CharField(label=gettext_lazy("Place"), required=False, max_length=120)

    def body(self) -> dict[str, Any]:
        body = super().body()
        return {"parts": [body.pop("part")], **body}


@team_page(LEADS, "GET", "POST")
def part_page(request: HttpRequest, actor: Actor, part_id: UUID) -> HttpResponse:
    """Where has this swivel been? Three statements beside the guard's: part, stays, clock."""
    part, stays = part_history(actor.team, part_id)
    form = PutForm(posted(request), initial={"part": part.id})
    if request.method == "POST" and form.file(actor, "put_parts"):
        messages.success(request, _("It is written down."))
        return redirect("part", team=actor.team_slug, part_id=part.id)
    shown = {"part": part, "stays": stays, "form": form, "tz": zone_of_team(actor.team)}
    return render(request, "part.html", shown, status=422 if form.errors else 200)


class StockForm(ActForm):
    """Parts of one kind that come into stock, by number or by mark."""

    kind = forms.ChoiceField(label=gettext_lazy("Kind of part"))
    count = forms.IntegerField(
        label=gettext_lazy("How many without a mark"), min_value=0, max_value=500, initial=0
    )
    marks = forms.CharField(
        label=gettext_lazy("Marks, one a line"),
        required=False,
        widget=forms.Textarea(attrs={"rows": 4, "spellcheck": "false"}),
    )
    place = forms.CharField(label=gettext_lazy("Place"), required=False, max_length=120)

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kinds = [(str(one.id), one.name) for one in part_kinds(actor.team)]
        self.fields["kind"].choices = [unchosen(), *kinds]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        if not (said.get("count") or said.get("marks", "").strip()):
            self.add_error("count", _("Say how many, or give their marks."))
        return said

    def body(self) -> dict[str, Any]:
        said = self.cleaned_data
        marks = [line.strip() for line in said["marks"].splitlines() if line.strip()]
        parts = [{"part": _part(said["act"], n)} for n in range(len(marks) + said["count"])]
        for part, mark in zip(parts, marks, strict=False):
            part["mark"] = mark
        return {"kind": said["kind"], "parts": parts, "place": said["place"]}


def _part(act: UUID, number: int) -> str:
    """The part's id from the act's, so that a form sent twice says the same."""
    from uuid import uuid5

    return str(uuid5(act, str(number)))


@team_page(LEADS, "GET", "POST")
def stock_parts(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Take parts into stock: the act stock_parts."""
    form = StockForm(posted(request), actor=actor, initial={"kind": request.GET.get("kind", "")})
    if request.method == "POST" and form.file(actor, "stock_parts"):
        messages.success(request, _("The parts are in stock."))
        return redirect("gear", team=actor.team_slug)
    return render(request, "stock_parts.html", {"form": form}, status=422 if form.errors else 200)
