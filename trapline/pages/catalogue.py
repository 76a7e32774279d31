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
from trapline.gear.selectors import (
    KindShown,
    access_device_kind,
    access_part_kind,
    said_of_kind,
)
from trapline.ground.ids import new_id
from trapline.lines.selectors import zone_of_team
from trapline.pages.fields import QuantityField
from trapline.pages.forms import ActForm, person_units, posted
from trapline.pages.guard import LEADS, team_page
from trapline.pages.kinds_said import changes_of
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
    set_up_min = forms.FloatField(
        label=gettext_lazy("Minutes to set one up"), required=False, min_value=0, max_value=1440
    )
    check_min = forms.FloatField(
        label=gettext_lazy("Minutes to check one"), required=False, min_value=0, max_value=1440
    )
    price = forms.DecimalField(
        label=gettext_lazy("Price of a whole one"),
        required=False,
        min_value=0,
        max_digits=10,
        decimal_places=2,
        help_text=gettext_lazy("Left empty: the prices of its parts together."),
    )
    at_field = {"volume_m3": "volume_l", "set_up_s": "set_up_min", "check_s": "check_min"}

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
                max_value=100,
                initial=1,
            )
            self.fields[f"optional-{role}"] = forms.BooleanField(
                label=_("It may lack it: %(part)s") % {"part": role.label}, required=False
            )

    @property
    def parts(self) -> list[Any]:
        """The three fields of each part, for the page."""
        sorts = ("part", "count", "optional")
        return [[self[f"{sort}-{role}"] for sort in sorts] for role in PartRole]

    def body(self) -> dict[str, Any]:
        said = self.cleaned_data
        body = {
            name: said[name] for name in said
            if not name.startswith(("part-", "count-", "optional-", "act"))
        }  # fmt: skip
        litres = body.pop("volume_l")
        body["volume_m3"] = litres / 1000 if litres else None
        for name in ("set_up", "check"):
            minutes = body.pop(f"{name}_min")
            body[f"{name}_s"] = None if minutes is None else minutes * 60
        parts = [
            {
                "role": role.value,
                "count": said[f"count-{role}"] or 1,
                "needed": not said[f"optional-{role}"],
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
    """Say a kind of part anew, its least stock too: the act name_part_kind. Three statements

    beside the guard's: kind, what was said of it, the team's clock.
    """
    kind = access_part_kind(actor.team, part_kind_id)
    started = {
        name: getattr(kind, name)
        for name in PartKindForm.base_fields
        if name not in ("act", "kind")
    }
    units = person_units(request.user)
    form = PartKindForm(posted(request), units=units, initial={**started, "kind": kind.id})
    if request.method == "POST" and form.is_valid():
        form.cleaned_data["kind"] = kind.id
    if request.method == "POST" and form.file(actor, "name_part_kind"):
        messages.success(request, _("It is written down."))
        return redirect("part_kind", team=actor.team_slug, part_kind_id=kind.id)
    said = changes_of(said_of_kind(actor.team, kind.id), units, {})
    shown = {"form": form, "kind": kind, "said": said, "tz": zone_of_team(actor.team)}
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


@team_page(LEADS, "GET", "POST")
def change_device_kind(request: HttpRequest, actor: Actor, kind_id: UUID) -> HttpResponse:
    """Say a kind of device anew: the act name_device_kind. Five statements beside the guard's:

    kind, its parts, skills, what was said of it, the team's clock.
    """
    kind, units = access_device_kind(actor.team, kind_id), person_units(request.user)
    form = DeviceKindForm(posted(request), actor=actor, units=units, initial=_started(kind))
    if request.method == "POST" and form.is_valid():
        form.cleaned_data["kind"] = kind_id
    if request.method == "POST" and form.file(actor, "name_device_kind"):
        messages.success(request, _("It is written down."))
        return redirect("gear", team=actor.team_slug)
    names = {key: str(name) for key, name in form.fields["skill"].choices}  # type: ignore[attr-defined]
    said = changes_of(said_of_kind(actor.team, kind_id), units, names)
    shown = {"form": form, "kind": kind.kind, "said": said, "tz": zone_of_team(actor.team)}
    return render(request, "change_device_kind.html", shown, status=422 if form.errors else 200)


def _started(shown: KindShown) -> dict[str, Any]:
    """The form's fields as the kind is now."""
    kind = shown.kind
    same = ("name", "device_class", "action", "jaw_spread_m", "mass_kg", "price")
    started: dict[str, Any] = {name: getattr(kind, name) for name in same}
    started |= {"kind": kind.id, "skill": kind.skill_id or ""}
    for name, value, by in (
        ("volume_l", kind.volume_m3, 1000.0),
        ("set_up_min", kind.set_up_s, 1 / 60),
        ("check_min", kind.check_s, 1 / 60),
    ):
        started[name] = None if value is None else round(value * by, 3)
    for part in shown.parts:
        started[f"part-{part.role}"] = part.after_catch
        started[f"count-{part.role}"] = part.count
        started[f"optional-{part.role}"] = not part.needed
    return started
