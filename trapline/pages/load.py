"""What to carry: the kinds of device side by side, then the best load within what is stated."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.calc.food import LEAN
from trapline.calc.load.question import STEPS, Carried, Limits, Load
from trapline.gear.selectors import named_kinds
from trapline.pages.forms import person_units
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.pages.load_form import OBJECTIVES, LoadForm, class_words
from trapline.people.rights import Actor
from trapline.plans.carrying import Carrying, Offered, load, offered
from trapline.plans.worth import ENERGY, protein_share, worths
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

LEAST = 0.0005  # gained by one more; less than this binds nothing


def _bounds(form: LoadForm, found: Carrying) -> dict[str, Any]:
    """What binds, and what one more of each thing that does adds: limits, law, gear at hand."""
    said = found.answer
    rows = [(str(WORDS[name]), str(MORE[name]), said.more[name]) for name in said.more]
    for (words, _keys, _most), added in zip(form.law(), found.by_law, strict=True):
        rows.append(
            (_("the law (%(group)s)") % {"group": words},
             _("one more by law (%(group)s)") % {"group": words}, added)
        )  # fmt: skip
    for key, added in found.of_kinds.items():
        name = {"kind": found.kinds[key].name}
        rows.append((_("%(kind)s at hand") % name, _("one more %(kind)s") % name, added))
    tight = [(binds, more, added) for binds, more, added in rows if added > LEAST]
    return {
        "binds": [binds for binds, _more, _added in tight],
        "more": [(more, added) for _binds, more, added in tight],
        "alone": [
            (class_words(code), gained)
            for code, gained in sorted(found.alone.items(), key=lambda one: -one[1])
        ],
    }


def _by_species(
    form: LoadForm, kinds: Sequence[Offered]
) -> tuple[list[Species], list[tuple[Offered, list[float]]]]:
    """The species that any kind has caught, and what each kind catches of them in 100 nights."""
    caught = {key for one in kinds if one.own for key in one.rates}
    shown = [one for one in form.species if one.id in caught]
    own = [one for one in kinds if one.own]
    return shown, [(one, [one.per_100_of(each.id) for each in shown]) for one in own]


def _gain(form: LoadForm, found: Carrying) -> dict[str, Any]:
    """What the plan is worth, in the objective's own words."""
    shown: dict[str, Any] = {"unit": OBJECTIVES[form.aim].unit, "objective": form.aim}
    if form.aim == ENERGY:
        share = protein_share(found, form.each(), form.protein())
        shown |= {"protein": share, "lean": share is None or share > LEAN}
    return shown


@team_page(ANYONE_IN_TEAM)
def load_page(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Five statements beside the guard's: species and their worth; kinds as they are named, as

    they stand and what they caught.
    """
    units = person_units(request.user)
    species = species_cards(actor.team)
    if not species:
        return render(request, "load.html", {"form": None})
    known: dict[str, Any] = {
        "species": species, "own": worths(actor.team), "kinds": named_kinds(actor.team),
        "units": units,
    }  # fmt: skip
    form = LoadForm(request.GET or LoadForm(**known).defaults, **known)
    if not form.is_valid():
        return render(request, "load.html", {"form": form}, status=422)
    target, stay, limits, work = form.question()
    kinds = offered(actor.team, target, work)
    found = load(kinds, form.each(), stay, limits, work)
    shown = {
        "form": form,
        "kinds": [one for one in kinds if not _out_of_reach(one)],
        "out_of_reach": [one.name for one in kinds if _out_of_reach(one)],
        "stay": stay,
        "found": found,
        "plan": _rows(found, found.answer.plan, target),
        "runner": _rows(found, found.answer.runner_up, target),
        **_bounds(form, found),
        "by_species": _by_species(form, kinds),
        "used": _used(found.answer.plan, limits),
        "leading": _leading(found),
        "turns_at": _turns_at(found),
        **_gain(form, found),
        "takes": [f"{one.key}:{one.devices}:{one.spare_kits}" for one in found.answer.plan.carried],
    }
    return render(request, "load.html", shown)


def _out_of_reach(one: Offered) -> bool:
    """A kind that nobody weighed, that has no price and of which none is free."""
    return one.mass_kg is None and one.price is None and not one.free


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
    return "" if share is None else _("%(share).1f %%") % {"share": 100 * share}
