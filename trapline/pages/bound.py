"""Which rules bound a set on a date: a page that answers for any moment."""

from datetime import date, datetime, time
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy

from trapline.binding.then import Bound, Weighed, rules_that_bound
from trapline.ground.clock import now
from trapline.pages.bound_words import standing_words, why_words
from trapline.pages.fields import MomentField
from trapline.pages.forms import PlainForm, person_units
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.pages.today import only_own
from trapline.people.rights import Actor
from trapline.rulebook.models import Matter
from trapline.rulebook.selectors import species_cards
from trapline.standing.selectors import set_sheet
from trapline.wording.rule_words import applies_words, rule_sentence
from trapline.wording.vocabulary import label_of


class WhenForm(PlainForm):
    """The moment that is asked about, on the clock of the line."""

    at = MomentField(label=gettext_lazy("When"), required=False)

    def __init__(self, *args: Any, tz: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["at"]
        assert isinstance(field, MomentField)
        field.zone = ZoneInfo(tz)


@team_page(ANYONE_IN_TEAM)
def bound(request: HttpRequest, actor: Actor, set_id: UUID) -> HttpResponse:
    """The rules on a set at `at` (a moment, or a date for its noon); now, without it.

    Statements beside the guard's: the sheet; the set then, the version's key, the version, its
    rules, closures; species.
    """
    sheet = set_sheet(actor.team, set_id, only_own(actor))
    form = WhenForm(_asked(request), tz=sheet.tz)
    moment = now()
    if form.is_valid() and form.cleaned_data["at"] is not None:
        moment = form.cleaned_data["at"]
    found = rules_that_bound(actor.team, set_id, moment)
    species = {one.code: one.name for one in species_cards(actor.team)}
    shown = {
        "set": sheet,
        "form": form,
        "moment": moment,
        "found": found,
        "matters": _by_matter(found, person_units(request.user), species),
    }
    return render(request, "bound.html", shown, status=422 if form.errors else 200)


def _asked(request: HttpRequest) -> dict[str, str]:
    """The question: a date alone is asked at noon."""
    said = request.GET.get("at", "").strip()
    try:
        day = date.fromisoformat(said)
    except ValueError:
        return {"at": said}
    return {"at": datetime.combine(day, time(12)).isoformat(timespec="minutes")}


def _by_matter(found: Bound, units: str, species: dict[str, str]) -> list[dict[str, Any]]:
    matters = []
    for matter in Matter:
        rules = [one for one in found.rules if one.rule.matter == matter]
        live = [one for one in rules if one.standing != "apart"]
        if rules:
            matters.append(
                {
                    "name": label_of("matter", matter),
                    "live": [_line(one, found, units, species) for one in sorted(live, key=_order)],
                    "apart": [
                        _line(one, found, units, species)
                        for one in rules
                        if one.standing == "apart"
                    ],
                }
            )
    return matters


_FIRST = ("binds", "moves", "later", "hours", "open", "shut", "outdone", "replaced", "exempt")


def _order(one: Weighed) -> tuple[int, str]:
    return _FIRST.index(one.standing), one.rule.code


def _line(one: Weighed, found: Bound, units: str, species: dict[str, str]) -> dict[str, Any]:
    return {
        "one": one,
        "says": rule_sentence(one.rule, units),
        "applies": applies_words(one.rule, species),
        "standing": standing_words(one.standing, one.granted),
        "why": why_words(one, found.moment),
    }
