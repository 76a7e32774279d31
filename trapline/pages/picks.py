"""Pick lists: from a load to what to take from where, on a page to print; and dropping one."""

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.clock import now
from trapline.ground.ids import new_id
from trapline.lines.selectors import zone_of_team
from trapline.pages.forms import ActForm, posted
from trapline.pages.guard import ANYONE_IN_TEAM, LEADS, team_page
from trapline.pages.today import only_own
from trapline.people.rights import Actor
from trapline.people.selectors import members_in_office
from trapline.plans.picking import Choice, Want, choose, fill
from trapline.record.picking import MOST_DEVICES, MOST_PARTS
from trapline.standing.reserved import PickedThing, access_pick, picked, picks, wanted_parts

TAKE = "take"  # of the address: kind:devices:spare kits


class PickForm(ActForm):
    """The name of the list and who goes with it; what it sets aside stands beside the form."""

    pick = forms.UUIDField(widget=forms.HiddenInput)
    name = forms.CharField(
        label=gettext_lazy("What it is for"),
        max_length=120,
        help_text=gettext_lazy("Others see this name beside each device that is set aside."),
    )
    carrier = forms.ChoiceField(label=gettext_lazy("Who goes with it"), required=False)
    note = forms.CharField(label=gettext_lazy("Note"), required=False, max_length=2000)

    def __init__(self, *args: Any, actor: Actor, wants: list[Want], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("pick", new_id())
        self.wants = wants
        people = [(str(one.id), one.name) for one in members_in_office(actor.team)]
        self.fields["carrier"].choices = [("", _("Not said yet")), *people]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        if not self.wants:
            self.add_error(None, _("Find a load first; its plan says what to take."))
        return said

    def body(self) -> dict[str, Any]:
        body = super().body()
        sent = self.data
        assert isinstance(sent, QueryDict)
        return body | {
            "carrier": body["carrier"] or None,
            "wanted": [
                {"kind": one.kind, "devices": one.devices, "spare_kits": one.spare_kits}
                for one in self.wants
            ],
            "devices": sent.getlist("device"),
            "parts": sent.getlist("part"),
        }


def wants_of(texts: Iterable[str]) -> list[Want]:
    """What the address asks for; whatever cannot be read asks for nothing."""
    found: dict[UUID, Want] = {}
    for text in texts:
        kind, _colon, counts = text.partition(":")
        devices, _colon, kits = counts.partition(":")
        try:
            want = Want(UUID(kind), int(devices), int(kits or 0))
        except ValueError:
            continue
        if 0 <= want.devices <= MOST_DEVICES and 0 <= want.spare_kits <= MOST_PARTS:
            found.setdefault(want.kind, want)
    return list(found.values())[:100]


@team_page(LEADS, "GET", "POST")
def new_pick(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Set the gear of a plan aside: the act pick_gear. Five statements beside the guard's: members,

    kinds, ready devices, what is spent, loose parts.
    """
    sent = request.POST if request.method == "POST" else request.GET
    wants = wants_of(sent.getlist(TAKE))
    form = PickForm(posted(request), actor=actor, wants=wants)
    if request.method == "POST" and form.file(actor, "pick_gear"):
        messages.success(request, _("The gear is set aside."))
        return redirect("pick", team=actor.team_slug, pick_id=form.cleaned_data["pick"])
    choice = choose(actor.team, wants)
    shown = {"form": form, "choice": choice, "takes": sent.getlist(TAKE), "some": _some(choice)}
    return render(request, "new_pick.html", shown, status=422 if form.errors else 200)


def _some(choice: Choice) -> bool:
    return bool(choice.devices or choice.parts or choice.lacking)


@team_page(ANYONE_IN_TEAM)
def pick_lists(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Lists that keep something, and those that are done. Two statements beside the guard’s."""
    found = picks(actor.team, only_own(actor))
    going = [one for one in found if one.dropped_at is None and one.kept]
    shown = {
        "going": going,
        "done": [one for one in found if one not in going],
        "tz": zone_of_team(actor.team),
    }
    return render(request, "picks.html", shown)


@team_page(ANYONE_IN_TEAM)
def pick_page(request: HttpRequest, actor: Actor, pick_id: UUID) -> HttpResponse:
    """What to take from where, to tick off on paper. Five statements beside the guard's."""
    pick = access_pick(actor.team, pick_id, only_own(actor))
    things, wanted = picked(actor.team, pick.id)
    shown = {
        "pick": pick,
        "devices": _by_place(one for one in things if one.device),
        "parts": _by_place(one for one in things if one.part),
        "wanted": wanted,
        "lacking": [one for one in wanted if one.lacking],
        "lacking_parts": [one for one in wanted_parts(actor.team, pick.id) if one.lacking],
        "moment": now(),
        "tz": zone_of_team(actor.team),
    }
    return render(request, "pick.html", shown)


def _by_place(things: Iterable[PickedThing]) -> list[tuple[str, list[PickedThing]]]:
    """The places in their order, each with what lies there."""
    places: dict[str, list[PickedThing]] = {}
    for one in things:
        places.setdefault(one.place, []).append(one)
    return list(places.items())


class FillForm(ActForm):
    """What is added stands beside the form; the page sends it along."""

    def __init__(self, *args: Any, pick: UUID, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.pick = pick

    def body(self) -> dict[str, Any]:
        sent = self.data if isinstance(self.data, QueryDict) else QueryDict()
        things = {"devices": sent.getlist("device"), "parts": sent.getlist("part")}
        return {"pick": self.pick, **super().body(), **things}


@team_page(LEADS, "GET", "POST")
def fill_pick(request: HttpRequest, actor: Actor, pick_id: UUID) -> HttpResponse:
    """Set aside what a list is short of: the act fill_pick. Six statements beside the guard's."""
    pick = access_pick(actor.team, pick_id, None)
    form = FillForm(posted(request), pick=pick.id)
    if request.method == "POST" and form.file(actor, "fill_pick"):
        messages.success(request, _("The list has what it was short of."))
        return redirect("pick", team=actor.team_slug, pick_id=pick.id)
    shown = {"form": form, "pick": pick, "choice": fill(actor.team, pick.id)}
    return render(request, "fill_pick.html", shown, status=422 if form.errors else 200)


class DropForm(ActForm):
    """Why a list is not needed longer."""

    note = forms.CharField(label=gettext_lazy("Why"), required=False, max_length=2000)

    def __init__(self, *args: Any, pick: UUID, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.pick = pick

    def body(self) -> dict[str, Any]:
        return {"pick": self.pick, **super().body()}


@team_page(LEADS, "GET", "POST")
def drop_pick(request: HttpRequest, actor: Actor, pick_id: UUID) -> HttpResponse:
    """Free what a list still keeps: the act drop_pick."""
    pick = access_pick(actor.team, pick_id, None)
    form = DropForm(posted(request), pick=pick.id)
    if request.method == "POST" and form.file(actor, "drop_pick"):
        messages.success(request, _("What it kept is free again."))
        return redirect("picks", team=actor.team_slug)
    shown = {"form": form, "pick": pick}
    return render(request, "drop_pick.html", shown, status=422 if form.errors else 200)
