"""The kinds of part and of device, entered by who leads."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.gear.models import Action, AfterCatch, DeviceClass, PartRole
from trapline.gear.selectors import access_part_kind
from trapline.ground.ids import new_id
from trapline.pages.fields import QuantityField
from trapline.pages.forms import ActForm, person_units, posted
from trapline.pages.guard import LEADS, team_page
from trapline.people.rights import Actor
from trapline.people.selectors import skills


class PartKindForm(ActForm):
    """A kind of part as it is bought."""

    kind = forms.UUIDField(widget=forms.HiddenInput)
    role = forms.ChoiceField(label=gettext_lazy("Part"), choices=PartRole.choices)
    name = forms.CharField(
        label=gettext_lazy("Name"),
        max_length=120,
        help_text=gettext_lazy("As on the bill, for example “cable 2.4 mm 7x7”."),
    )
    diameter_m = QuantityField("wire", label=gettext_lazy("Diameter"), required=False)
    construction = forms.CharField(
        label=gettext_lazy("Construction"),
        required=False,
        max_length=40,
        help_text=gettext_lazy("Strands by wires: 7x7, 7x19, 1x19."),
    )
    breaking_load_n = QuantityField("load", label=gettext_lazy("Breaking load"), required=False)
    breaking_load_source = forms.CharField(
        label=gettext_lazy("Who says so"), required=False, max_length=200
    )
    mass_kg = QuantityField("mass", label=gettext_lazy("Mass of one"), required=False)
    price = forms.DecimalField(
        label=gettext_lazy("Price of one"),
        required=False,
        min_value=0,
        max_digits=10,
        decimal_places=2,
    )

    fewest = forms.IntegerField(
        label=gettext_lazy("Fewest in stock, before more are bought"),
        required=False,
        min_value=0,
        max_value=100_000,
    )
    life_nights = forms.FloatField(
        label=gettext_lazy("Service life, in nights in a set"),
        required=False,
        min_value=1,
        max_value=100_000,
        help_text=gettext_lazy("A part that has served longer is found. The team’s own figure."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("kind", new_id())


class DeviceKindForm(ActForm):
    """A kind of device and what it is built of: one choice and one number for each part."""

    kind = forms.UUIDField(widget=forms.HiddenInput)
    name = forms.CharField(label=gettext_lazy("Name"), max_length=120)
    device_class = forms.ChoiceField(label=gettext_lazy("Class"), choices=DeviceClass.choices)
    action = forms.ChoiceField(
        label=gettext_lazy("What it does"), choices=Action.choices, widget=forms.RadioSelect
    )
    skill = forms.ChoiceField(
        label=gettext_lazy("Placing it asks for a sign-off in"), required=False
    )
    jaw_spread_m = QuantityField(
        "size", label=gettext_lazy("Jaw spread, measured inside"), required=False
    )
    mass_kg = QuantityField("mass", label=gettext_lazy("Mass of one"), required=False)
    volume_l = forms.FloatField(
        label=gettext_lazy("Volume of one, as carried (litres)"), required=False, min_value=0
    )

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("kind", new_id())
        offered = [(str(one.id), one.name) for one in skills(actor.team)]
        self.fields["skill"].choices = [("", _("Nothing")), *offered]  # type: ignore[attr-defined]
        for role in PartRole:
            self.fields[f"part-{role}"] = forms.ChoiceField(
                label=role.label,
                required=False,
                choices=[("", _("Not in it")), *AfterCatch.choices],
            )
            self.fields[f"count-{role}"] = forms.IntegerField(
                label=_("How many: %(part)s") % {"part": role.label},
                required=False,
                min_value=1,
                max_value=20,
                initial=1,
            )

    @property
    def parts(self) -> list[Any]:
        """The two fields of each part, for the page."""
        return [(self[f"part-{role}"], self[f"count-{role}"]) for role in PartRole]

    def body(self) -> dict[str, Any]:
        said = self.cleaned_data
        body = {
            name: said[name] for name in said if not name.startswith(("part-", "count-", "act"))
        }
        litres = body.pop("volume_l")
        body["volume_m3"] = litres / 1000 if litres else None
        parts = [
            {
                "role": role.value,
                "count": said[f"count-{role}"] or 1,
                "after_catch": said[f"part-{role}"],
            }
            for role in PartRole
            if said[f"part-{role}"]
        ]
        return body | {"action": said["action"], "skill": said["skill"] or None, "parts": parts}


@team_page(LEADS, "GET", "POST")
def new_part_kind(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Enter a kind of part: the act name_part_kind."""
    form = PartKindForm(posted(request), units=person_units(request.user))
    if request.method == "POST" and form.file(actor, "name_part_kind"):
        messages.success(request, _("The kind of part is entered."))
        return redirect("gear", team=actor.team_slug)
    shown = {"form": form}
    return render(request, "new_part_kind.html", shown, status=422 if form.errors else 200)


@team_page(LEADS, "GET", "POST")
def change_part_kind(request: HttpRequest, actor: Actor, part_kind_id: UUID) -> HttpResponse:
    """Say a kind of part anew, its least stock too: the act name_part_kind. One statement more."""
    kind = access_part_kind(actor.team, part_kind_id)
    started = {
        name: getattr(kind, name)
        for name in PartKindForm.base_fields
        if name not in ("act", "kind")
    }
    form = PartKindForm(
        posted(request), units=person_units(request.user), initial={**started, "kind": kind.id}
    )
    if request.method == "POST" and form.is_valid():
        form.cleaned_data["kind"] = kind.id
    if request.method == "POST" and form.file(actor, "name_part_kind"):
        messages.success(request, _("It is written down."))
        return redirect("part_kind", team=actor.team_slug, part_kind_id=kind.id)
    shown = {"form": form, "kind": kind}
    return render(request, "change_part_kind.html", shown, status=422 if form.errors else 200)


@team_page(LEADS, "GET", "POST")
def new_device_kind(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Enter a kind of device: the act name_device_kind."""
    form = DeviceKindForm(posted(request), actor=actor, units=person_units(request.user))
    if request.method == "POST" and form.file(actor, "name_device_kind"):
        messages.success(request, _("The kind of device is entered."))
        return redirect("gear", team=actor.team_slug)
    shown = {"form": form}
    return render(request, "new_device_kind.html", shown, status=422 if form.errors else 200)
