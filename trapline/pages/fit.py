"""The device-fit table: what holds which animal and what endangers it. Nobody's law."""

from dataclasses import asdict
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.calc.strength.cables import cables
from trapline.findings.fit import FitRow, fit_of
from trapline.findings.models import FitSource, FitWhat
from trapline.gear.models import DeviceClass
from trapline.ground.units_shown import shown
from trapline.land.models import Placement
from trapline.pages.fields import QuantityField
from trapline.pages.forms import ActForm, left_words, person_units, posted, unchosen
from trapline.pages.guard import ANYONE_IN_TEAM, LEADS, team_of, team_page
from trapline.people.rights import Actor
from trapline.rulebook.selectors import species_cards


@team_page(ANYONE_IN_TEAM)
def fit(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The device-fit table as the team has it, and what cables bear. Species beside the guard's;

    the table is read once under a stamp.
    """
    table = fit_of(actor.team, team_of(request).rule_stamp)
    units = person_units(request.user)
    names = {one.code: one.name for one in species_cards(actor.team)}
    groups: dict[str, list[dict[str, Any]]] = {}
    for row in sorted(table.values(), key=lambda one: (one.device_class, one.what, one.species)):
        groups.setdefault(row.device_class, []).append(
            {"row": row, "sizes": _sizes(row, units), "name": _name(row.species, names)}
        )
    return render(request, "fit.html", {"groups": groups, "cables": cables()})


def _name(code: str, names: dict[str, str]) -> str:
    """The rulebook's name of a species; of one that it does not name, its code in plain writing."""
    return names.get(code, code.replace("_", " ").capitalize())


def _sizes(row: FitRow, units: str) -> str:
    quantity: Any = {FitWhat.CABLE: "wire", FitWhat.DEPTH: "depth"}.get(FitWhat(row.what), "size")
    low, high = shown(row.from_m, quantity, units), shown(row.to_m, quantity, units)
    if low and high:
        return low if low == high else f"{low} – {high}"
    if low:
        return _("from %(size)s") % {"size": low}
    return _("up to %(size)s") % {"size": high} if high else _("nothing said")


class FitForm(ActForm):
    """A row of the device-fit table, as the team has it."""

    device_class = forms.ChoiceField(label=gettext_lazy("Device"))
    species = forms.ChoiceField(label=gettext_lazy("Species"))
    what = forms.ChoiceField(label=gettext_lazy("What is said"))
    from_m = QuantityField(label=gettext_lazy("From"), quantity="size", required=False)
    to_m = QuantityField(label=gettext_lazy("To"), quantity="size", required=False)
    placements = forms.MultipleChoiceField(
        label=gettext_lazy("Only where it stands so"),
        required=False,
        choices=Placement.choices,
        widget=forms.CheckboxSelectMultiple,
        help_text=gettext_lazy("For what it endangers. None: wherever it stands."),
    )
    source = forms.CharField(
        label=gettext_lazy("Source"),
        required=False,
        max_length=400,
        help_text=gettext_lazy("Where the figure is from. “What we have seen” is a source."),
    )

    def __init__(self, *args: Any, species: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["species"].choices = [unchosen(), *species]  # type: ignore[attr-defined]
        self.fields["device_class"].choices = [unchosen(), *DeviceClass.choices]  # type: ignore[attr-defined]
        self.fields["what"].choices = [unchosen(), *FitWhat.choices]  # type: ignore[attr-defined]


@team_page(LEADS, "GET", "POST")
def fit_row(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Say a row of the table anew: the act set_device_fit. ?device_class=&species=&what= fill in a

    row as it is. Species beside the guard's.
    """
    table = fit_of(actor.team, team_of(request).rule_stamp)
    names = {one.code: one.name for one in species_cards(actor.team)}
    codes = sorted({*names, *(row.species for row in table.values())})
    species = sorted(((code, _name(code, names)) for code in codes), key=lambda one: one[1])
    told = request.GET
    there = table.get((told.get("device_class", ""), told.get("species", ""), told.get("what", "")))
    form = FitForm(
        posted(request), units=person_units(request.user), species=species,
        initial={} if there is None else asdict(there),
    )  # fmt: skip
    if request.method == "POST" and form.file(actor, "set_device_fit"):
        messages.success(request, left_words(form) or _("The row is the team’s own now."))
        return redirect("fit", team=actor.team_slug)
    page = {"form": form, "sources": FitSource}
    return render(request, "fit_row.html", page, status=422 if form.errors else 200)
