"""Food: what was fit, who ate it, its energy and protein beside what the rounds cost; the table."""

from dataclasses import asdict
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.calc.energy import TERRAINS, Cost, Leg, round_cost
from trapline.calc.food import Helping, net
from trapline.findings.models import FitSource
from trapline.kept.food import ON_FOOT, Rounds, food_table, rounds_of
from trapline.kept.food import food as food_of
from trapline.pages.fields import QuantityField
from trapline.pages.forms import ActForm, PlainForm, left_words, person_units, posted, unchosen
from trapline.pages.guard import ANYONE_IN_TEAM, LEADS, team_page
from trapline.pages.reports import asked_form
from trapline.pages.today import only_own
from trapline.people.rights import Actor
from trapline.rulebook.selectors import species_cards

GROUNDS = {
    "paved": gettext_lazy("Paved"),
    "dirt_track": gettext_lazy("Dirt track"),
    "gravel": gettext_lazy("Gravel"),
    "hard_snow": gettext_lazy("Hard snow"),
    "heavy_brush": gettext_lazy("Heavy brush"),
    "bog": gettext_lazy("Bog"),
    "loose_sand": gettext_lazy("Loose sand"),
}


class CostForm(PlainForm):
    """What one round on foot was like, and how many there were."""

    rounds = forms.IntegerField(label=gettext_lazy("Rounds on foot"), min_value=0, max_value=9999)
    way = QuantityField(
        label=gettext_lazy("Way of a round, there and back"), quantity="way", max_value=200_000
    )
    hours = forms.FloatField(
        label=gettext_lazy("Hours walked on a round"), min_value=0.1, max_value=48
    )
    ground = forms.ChoiceField(label=gettext_lazy("Ground"), choices=list(GROUNDS.items()))
    grade = forms.FloatField(
        label=gettext_lazy("Mean climb of the way, per cent"), min_value=0, max_value=40, initial=0,
        help_text=gettext_lazy("The equation holds for level and uphill only."),
    )  # fmt: skip
    body_kg = QuantityField(
        label=gettext_lazy("Weight of the person"), quantity="mass", max_value=250
    )
    load_kg = QuantityField(
        label=gettext_lazy("Weight carried"), quantity="mass", max_value=100, initial=0.0
    )
    at_sets = forms.FloatField(
        label=gettext_lazy("Hours of work at the sets of a round"), min_value=0, max_value=24
    )

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        if said.get("body_kg") == 0:
            self.add_error("body_kg", _("More than 0 is needed."))
        return said

    def cost(self) -> Cost:
        """Of all rounds together, above rest."""
        said = self.cleaned_data
        speed = said["way"] / (said["hours"] * 3600)
        legs = [Leg(said["way"], speed, said["load_kg"], said["grade"], TERRAINS[said["ground"]])]
        one = round_cost(said["body_kg"], legs if speed else [], said["at_sets"])
        n = said["rounds"]
        return Cost(one.kcal * n, one.least * n, one.most * n, one.hours * n)


def _first_guess(rounds: list[Rounds]) -> dict[str, Any]:
    """Rounds on foot as the record has them, there and back along the path where it is drawn."""
    walked = [one for one in rounds if one.travel in ON_FOOT]
    drawn = sum(one.drawn for one in walked)
    count = sum(one.rounds for one in walked)
    path_m = sum(one.path_m for one in walked)
    return {"rounds": count, "way": 2 * path_m / drawn if drawn else None}


@team_page(ANYONE_IN_TEAM)
def food_page(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Food of some days by member and household; four statements beside the guard's: table, eaten,

    meat, rounds. A member sees their own animals and what they ate.
    """
    form = asked_form(request)
    units = person_units(request.user)
    if not form.is_valid():
        return render(request, "food.html", {"form": form}, status=422)
    first, last, own = form.period.first, form.period.last, only_own(actor)
    told = food_of(actor.team, own, food_table(actor.team), first=first, last=last)
    rounds = rounds_of(actor.team, own, first=first, last=last)
    asked = "rounds" in request.GET
    cost = CostForm(request.GET if asked else None, units=units, initial=_first_guess(rounds))
    days = {name: request.GET[name] for name in ("first", "last") if request.GET.get(name)}
    page: dict[str, Any] = {
        "form": form,
        "food": told,
        "eaters": [(one, protein_words(one.together)) for one in told.eaters],
        "protein": protein_words(told.eaten),
        "cost_form": cost,
        "days": days,
        "rides": [one for one in rounds if one.travel not in ON_FOOT],
        "cost": None,
    }
    if asked and cost.is_valid():
        spent = cost.cost()
        page["cost"] = spent
        page["net"] = net(told.eaten.kcal, spent.kcal, spent.hours)
        page["least"] = net(told.eaten.kcal, spent.most, spent.hours)
        page["most"] = net(told.eaten.kcal, spent.least, spent.hours)
        # A round is a member's looks on one line on one date: a day's work.
        page["a_day"] = [
            one.kcal / cost.cleaned_data["rounds"] if cost.cleaned_data["rounds"] else None
            for one in (page["net"], page["least"], page["most"])
        ]
    return render(request, "food.html", page, status=422 if asked and cost.errors else 200)


def protein_words(told: Helping) -> str:
    """Protein's share of the energy, in words."""
    if not told.kcal:
        return "–"
    if told.protein_share is None:
        return _("unknown")
    share = f"{100 * told.protein_share:.0f}"
    if told.lean:
        return _("%(share)s %%: too lean to live on alone") % {"share": share}
    return _("%(share)s %%") % {"share": share}


@team_page(ANYONE_IN_TEAM)
def food_table_page(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The food table as the team has it. Two statements beside the guard's: table, species."""
    names = {one.code: one.name for one in species_cards(actor.team)}
    table = food_table(actor.team)
    codes = sorted({*names, *table}, key=lambda code: _name(code, names).lower())
    rows = [(code, _name(code, names), table.get(code)) for code in codes]
    return render(request, "food_table.html", {"rows": rows})


def _name(code: str, names: dict[str, str]) -> str:
    return names.get(code, code.replace("_", " ").capitalize())


class FoodForm(ActForm):
    """A row of the food table, as the team has it."""

    species = forms.ChoiceField(label=gettext_lazy("Species"))
    kcal_per_100g = forms.FloatField(
        label=gettext_lazy("Energy of 100 g raw, kcal"), required=False, min_value=1, max_value=900
    )
    protein_g_per_100g = forms.FloatField(
        label=gettext_lazy("Protein in 100 g raw, g"), required=False, min_value=0, max_value=100
    )
    edible_percent = forms.FloatField(
        label=gettext_lazy("Boned meat of the live weight, per cent"), required=False, min_value=1,
        max_value=99,
    )  # fmt: skip
    source = forms.CharField(
        label=gettext_lazy("Source"), max_length=400,
        help_text=gettext_lazy("Where it is from. “Our own scale” is a source."),
    )  # fmt: skip

    at_field = {"edible_share": "edible_percent"}

    def __init__(self, *args: Any, species: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["species"].choices = [unchosen(), *species]  # type: ignore[attr-defined]

    def body(self) -> dict[str, Any]:
        said = super().body()
        percent = said.pop("edible_percent")
        return said | {"edible_share": None if percent is None else percent / 100}


@team_page(LEADS, "GET", "POST")
def food_row(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Say a row of the table anew: the act set_food_value. ?species= fills in a row as it is.

    Two statements beside the guard's: table, species.
    """
    names = {one.code: one.name for one in species_cards(actor.team)}
    table = food_table(actor.team)
    codes = sorted({*names, *table})
    there = table.get(request.GET.get("species", ""))
    initial: dict[str, Any] = {"species": request.GET.get("species", "")}
    if there is not None:
        share = there.edible_share
        initial |= asdict(there) | {"edible_percent": None if share is None else 100 * share}
        initial["source"] = there.source if there.status == FitSource.TEAM else ""
    form = FoodForm(
        posted(request), species=[(code, _name(code, names)) for code in codes], initial=initial
    )
    if request.method == "POST" and form.file(actor, "set_food_value"):
        messages.success(request, left_words(form) or _("The row is the team’s own now."))
        return redirect("food_table", team=actor.team_slug)
    return render(request, "food_row.html", {"form": form}, status=422 if form.errors else 200)
