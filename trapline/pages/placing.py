"""Placing a set: the act place_set."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.ids import new_id
from trapline.lines.words import Placement
from trapline.pages.fields import QuantityField, YesNoUnknown
from trapline.pages.forms import ActForm, person_units, posted, unchosen
from trapline.pages.guard import LEADS, team_page
from trapline.people.rights import Actor
from trapline.people.selectors import licences, members_in_office
from trapline.rulebook.selectors import species_cards
from trapline.standing.selectors import FreeDevice, free_devices, lines_in_play

SNARES = ("snare", "cable_restraint")
Pairs = Sequence[tuple[str, str]]


class PlaceForm(ActForm):
    """Everything that is known of a set when it is placed."""

    at_field = {"place": "lat"}
    set = forms.UUIDField(widget=forms.HiddenInput)
    line = forms.ChoiceField(label=gettext_lazy("Line"))
    label = forms.CharField(
        label=gettext_lazy("Label"),
        max_length=60,
        help_text=gettext_lazy("What the team calls it on this line, for example C-12."),
    )
    lat = forms.FloatField(label=gettext_lazy("Latitude"), min_value=-90, max_value=90)
    lon = forms.FloatField(label=gettext_lazy("Longitude"), min_value=-180, max_value=180)
    accuracy_m = QuantityField("distance", label=gettext_lazy("Accuracy"), required=False)
    placement = forms.ChoiceField(
        label=gettext_lazy("Placement"), choices=Placement.choices, widget=forms.RadioSelect
    )
    device = forms.ChoiceField(label=gettext_lazy("Device"))
    targets = forms.MultipleChoiceField(
        label=gettext_lazy("Made for"), required=False, widget=forms.CheckboxSelectMultiple
    )
    responsible = forms.ChoiceField(label=gettext_lazy("Who looks after it"))
    licence = forms.ChoiceField(
        label=gettext_lazy("Licence"),
        help_text=gettext_lazy("The set bears it for its whole life, whoever looks after it."),
    )
    tag = forms.CharField(label=gettext_lazy("Tag on the device"), required=False, max_length=60)
    bait = forms.CharField(label=gettext_lazy("Bait or lure"), required=False, max_length=200)
    bait_in_view = YesNoUnknown(label=gettext_lazy("Is it in view from above?"))
    loop_diameter_m = QuantityField("size", label=gettext_lazy("Loop diameter"), required=False)
    loop_height_m = QuantityField(
        "size", label=gettext_lazy("Loop’s bottom above the surface"), required=False
    )
    anchoring = forms.CharField(label=gettext_lazy("Anchoring"), required=False, max_length=200)
    water_depth_m = QuantityField("depth", label=gettext_lazy("Water depth"), required=False)
    snow_depth_m = QuantityField("depth", label=gettext_lazy("Snow depth"), required=False)

    def __init__(self, *args: Any, lists: dict[str, Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("set", new_id())
        for name, choices in lists.items():
            self.fields[name].choices = choices  # type: ignore[attr-defined]

    def body(self) -> dict[str, Any]:
        said = super().body()
        lon, lat = said.pop("lon"), said.pop("lat")
        return said | {"place": [lon, lat]}

    def moment(self) -> datetime | None:
        return None


def device_words(one: FreeDevice) -> str:
    """A free device by its mark, and the pick list that keeps it: nobody takes it unawares."""
    if not one.reserved:
        return one.mark
    return _("%(mark)s, set aside for %(name)s") % {"mark": one.mark, "name": one.reserved}


def _grouped(devices: Sequence[FreeDevice]) -> list[tuple[str, Pairs | str]]:
    by_kind: dict[str, list[tuple[str, str]]] = {}
    for one in devices:
        by_kind.setdefault(one.kind, []).append((str(one.id), device_words(one)))
    return [unchosen(), *by_kind.items()]


def _lists(actor: Actor) -> dict[str, Any]:
    """What the lists offer. Five statements."""
    lines = lines_in_play(actor.team)
    return {
        "line": [unchosen(), *((str(one.id), one.name) for one in lines if one.status == "open")],
        "device": _grouped(free_devices(actor.team)),
        "targets": [(str(one.id), one.name) for one in species_cards(actor.team)],
        "responsible": [(str(one.id), one.name) for one in members_in_office(actor.team)],
        "licence": [
            unchosen(),
            *((str(one.id), f"{one.number} · {one.holder}") for one in licences(actor.team)),
        ],
    }


@team_page(LEADS, "GET", "POST")
def new_set(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Place a set. `line`, `lat` and `lon` in the address fill the form."""
    lists = _lists(actor)
    started = {name: request.GET[name] for name in ("line", "lat", "lon") if name in request.GET}
    started.setdefault("responsible", str(actor.member))
    form = PlaceForm(
        posted(request), lists=lists, units=person_units(request.user), initial=started
    )
    if request.method == "POST" and form.file(actor, "place_set"):
        messages.success(request, _("The set is placed."))
        return redirect("set", team=actor.team_slug, set_id=form.cleaned_data["set"])
    none = [name for name in ("line", "device", "licence") if len(lists[name]) < 2]
    shown = {"form": form, "none": none}
    return render(request, "set_form.html", shown, status=422 if form.errors else 200)
