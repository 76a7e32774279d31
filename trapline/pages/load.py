"""What to carry: the kinds of device side by side, then the best load within what is stated."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.calc.load.kinds import Stay
from trapline.calc.load.question import STEPS, Carried, Limits, Load
from trapline.pages.fields import QuantityField
from trapline.pages.forms import PlainForm, person_units
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.people.rights import Actor
from trapline.plans.carrying import Carrying, Offered, Work, load, offered
from trapline.rulebook.models import Species
from trapline.rulebook.selectors import species_cards

WORDS = {
    "sets": gettext_lazy("sets"),
    "mass_kg": gettext_lazy("mass"),
    "volume_l": gettext_lazy("volume"),
    "set_up_min": gettext_lazy("set-up time"),
    "check_min": gettext_lazy("time of a round"),
    "money": gettext_lazy("money"),
}
MORE = {
    "sets": gettext_lazy("one more set"),
    "mass_kg": gettext_lazy("one more kg"),
    "volume_l": gettext_lazy("five more litres"),
    "set_up_min": gettext_lazy("half an hour more to set up"),
    "check_min": gettext_lazy("half an hour more on a round"),
    "money": gettext_lazy("ten more to spend"),
}


class LoadForm(PlainForm):
    """The question: what for, how long, and what there is room and time for."""

    target = forms.ChoiceField(label=gettext_lazy("For"))
    worth = forms.FloatField(
        label=gettext_lazy("Worth of one"),
        min_value=0,
        initial=1,
        help_text=gettext_lazy("1 counts catches. Give kcal or a price to weigh by that."),
    )
    nights = forms.FloatField(
        label=gettext_lazy("Nights from check to check"), min_value=0.1, max_value=30, initial=1
    )
    checks = forms.IntegerField(
        label=gettext_lazy("Checks"), min_value=1, max_value=200, initial=10
    )
    sets = forms.IntegerField(
        label=gettext_lazy("Sets that one can check"), min_value=0, max_value=300, initial=20
    )
    mass_kg = QuantityField("mass", label=gettext_lazy("Mass to carry"), initial=10.0)
    volume_l = forms.FloatField(
        label=gettext_lazy("Volume to carry (litres)"), min_value=0, required=False
    )
    set_up_hours = forms.FloatField(
        label=gettext_lazy("Hours to set up"), min_value=0, required=False
    )
    round_hours = forms.FloatField(
        label=gettext_lazy("Hours at the sets on a round"), min_value=0, required=False
    )
    money = forms.FloatField(label=gettext_lazy("Money to spend"), min_value=0, initial=0)
    together = forms.IntegerField(
        label=gettext_lazy("Devices that the law allows, together"),
        min_value=0,
        required=False,
    )
    set_up_min = forms.FloatField(
        label=gettext_lazy("Minutes to set one up"), min_value=0, initial=10
    )
    check_min = forms.FloatField(label=gettext_lazy("Minutes to check one"), min_value=0, initial=4)
    tend_min = forms.FloatField(
        label=gettext_lazy("Minutes for each catch"), min_value=0, initial=10
    )
    assumed_per_100 = forms.FloatField(
        label=gettext_lazy("Assumed catches in 100 nights"),
        min_value=0,
        initial=1,
        help_text=gettext_lazy("For kinds with fewer than 100 nights of the team’s own."),
    )

    def __init__(self, *args: Any, species: list[Species], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["target"].choices = [(str(one.id), one.name) for one in species]  # type: ignore[attr-defined]

    @property
    def defaults(self) -> dict[str, Any]:
        """What the page is reckoned with before anybody has asked."""
        said = {name: self[name].value() for name in self.fields}
        return {**said, "target": self.fields["target"].choices[0][0]}  # type: ignore[attr-defined]

    def question(self) -> tuple[UUID, Stay, Limits, Work]:
        said = self.cleaned_data
        endless = float("inf")
        limits = Limits(
            sets=said["sets"] if said["together"] is None else min(said["sets"], said["together"]),
            mass_kg=said["mass_kg"],
            volume_l=endless if said["volume_l"] is None else said["volume_l"],
            set_up_min=endless if said["set_up_hours"] is None else said["set_up_hours"] * 60,
            check_min=endless if said["round_hours"] is None else said["round_hours"] * 60,
            money=said["money"],
        )
        work = Work(**{name: said[name] for name in (
            "set_up_min", "check_min", "tend_min", "assumed_per_100")})  # fmt: skip
        return UUID(said["target"]), Stay(said["nights"], said["checks"]), limits, work


@team_page(ANYONE_IN_TEAM)
def load_page(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Three statements beside the guard's: species; kinds and what they caught."""
    units = person_units(request.user)
    species = species_cards(actor.team)
    if not species:
        return render(request, "load.html", {"form": None})
    blank = LoadForm(species=species, units=units)
    form = LoadForm(request.GET or blank.defaults, species=species, units=units)
    if not form.is_valid():
        return render(request, "load.html", {"form": form}, status=422)
    target, stay, limits, work = form.question()
    kinds = offered(actor.team, target, work)
    found = load(kinds, {target: form.cleaned_data["worth"]}, stay, limits, work)
    shown = {
        "form": form,
        "kinds": kinds,
        "stay": stay,
        "found": found,
        "plan": _rows(found, found.answer.plan, target),
        "runner": _rows(found, found.answer.runner_up, target),
        "more": [(MORE[name], added) for name, added in found.answer.more.items()],
        "binds": [WORDS[name] for name in found.answer.binds],
        "used": _used(found.answer.plan, limits),
        "leading": _leading(found),
        "turns_at": _turns_at(found),
        "takes": [f"{one.key}:{one.devices}:{one.spare_kits}" for one in found.answer.plan.carried],
    }
    return render(request, "load.html", shown)


def _rows(
    found: Carrying, plan: Load | None, target: UUID
) -> list[tuple[Offered, Carried, float, float]]:
    """Each kind carried, with its mass and the catches of the target."""
    if plan is None:
        return []
    place = found.species.index(target)
    rows = []
    for one in plan.carried:
        kind = found.kinds[one.key]
        mass = one.devices * (kind.mass_kg or 0) + one.spare_kits * (kind.kit_mass_kg or 0)
        rows.append((kind, one, mass, float(one.catches[place])))
    return rows


def _used(plan: Load, limits: Limits) -> list[tuple[str, float, float]]:
    """Each limit that is set: its words, what is used of it, and the limit."""
    return [
        (str(WORDS[name]), plan.used[name], getattr(limits, name))
        for name in STEPS
        if getattr(limits, name) != float("inf") and name in plan.used
    ]


def _leading(found: Carrying) -> str:
    key = found.answer.leading
    return "" if key is None else found.kinds[key].name


def _turns_at(found: Carrying) -> str:
    share = found.answer.turns_at
    return "" if share is None else _("%(share).0f %%") % {"share": 100 * share}
