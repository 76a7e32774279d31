"""Where every animal is: the account, the fur room, and one animal from set to plate or buyer."""

from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.clock import now
from trapline.kept.selectors import (
    MOST,
    KeptAnimal,
    access_animal,
    account,
    animals_asked,
    history_of,
    kept_animals,
)
from trapline.kept.words import IN_THE_ROOM, PeltState, Place
from trapline.lines.selectors import zone_of_team
from trapline.pages.fields import MomentField
from trapline.pages.forms import ActForm, left_words, posted, unchosen
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.pages.reports import asked_form
from trapline.pages.today import only_own
from trapline.people.rights import Actor

TO_MOVE = (Place.UNSAID, Place.ROOM, Place.KEPT)


@team_page(ANYONE_IN_TEAM)
def where_page(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The account; a member sees the animals they caught or whose licence they hold. Four

    statements beside the guard's: account, strays, what is asked, animals of one place (?place=).
    """
    form = asked_form(request)
    if not form.is_valid():
        return render(request, "where.html", {"form": form}, status=422)
    first, last, own = form.period.first, form.period.last, only_own(actor)
    told = account(actor.team, own, first=first, last=last)
    place = request.GET.get("place", Place.UNSAID)
    place = place if place in Place.values else Place.UNSAID.value
    listed = kept_animals(actor.team, own, first=first, last=last, places=[place])
    shown = [(one.value, one.label) for one in Place if told.total(one) or one == Place.UNSAID]
    days = request.GET.copy()
    days.pop("place", None)
    page = {
        "form": form,
        "query": days.urlencode(),
        "account": told,
        "places": [(code, label, told.total(code)) for code, label in shown],
        "rows": [
            (one, [one.at_place.get(code, 0) for code, _label in shown]) for one in told.species
        ],
        "place": place,
        "asked": animals_asked(actor.team, own),
        "moment": now(),
        "listed": listed,
        "most": MOST,
    }
    return render(request, "where.html", page)


class MoveForm(ActForm):
    """Pelts that are so far now, or went there."""

    animals = forms.MultipleChoiceField(label=gettext_lazy("Which"))
    state = forms.ChoiceField(label=gettext_lazy("From now on"))
    at = MomentField(label=gettext_lazy("When, if not now"), required=False)
    place = forms.CharField(
        label=gettext_lazy("Where it hangs or lies"), required=False, max_length=200
    )
    grade = forms.CharField(label=gettext_lazy("Grade"), required=False, max_length=200)
    to = forms.CharField(
        label=gettext_lazy("To whom"), required=False, max_length=200,
        help_text=gettext_lazy("The buyer, the receiver or the office."),
    )  # fmt: skip
    price = forms.DecimalField(
        label=gettext_lazy("Price of each"), required=False, min_value=0, max_digits=12,
        decimal_places=2,
    )  # fmt: skip
    currency = forms.RegexField(
        "^[A-Z]{3}$", label=gettext_lazy("Currency"), required=False, max_length=3,
        help_text=gettext_lazy("Three letters (ISO 4217), for example CAD."),
    )  # fmt: skip
    reference = forms.CharField(label=gettext_lazy("Reference"), required=False, max_length=200)
    note = forms.CharField(label=gettext_lazy("Note"), required=False, max_length=2000)

    def __init__(self, *args: Any, animals: list[KeptAnimal], tz: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["animals"].choices = [(str(one.animal), one.number) for one in animals]  # type: ignore[attr-defined]
        self.fields["state"].choices = [unchosen(), *PeltState.choices]  # type: ignore[attr-defined]
        self.fields["at"].zone = ZoneInfo(tz)  # type: ignore[attr-defined]

    def moment(self) -> Any:
        return self.cleaned_data.get("at")

    def body(self) -> dict[str, Any]:
        said = super().body()
        del said["at"]
        return said

    @property
    def chosen(self) -> set[str]:
        """The animals ticked when the form was sent."""
        return set(self.data.getlist("animals")) if self.is_bound else set()  # type: ignore[attr-defined]


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def fur_room(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Pelts by state, and those that nobody brought in yet: the act move_pelts on one or many.

    Two statements beside the guard's: clock, animals. ?pelt= shows one state only.
    """
    pelt = request.GET.get("pelt", "")
    tz = zone_of_team(actor.team)
    rows = kept_animals(
        actor.team, only_own(actor), places=TO_MOVE,
        pelt=pelt if pelt in PeltState.values else None,
    )  # fmt: skip
    form = MoveForm(posted(request), animals=rows, tz=tz)
    if request.method == "POST" and form.file(actor, "move_pelts"):
        messages.success(request, left_words(form) or _("It is kept in the fur room’s book."))
        return redirect("fur_room", team=actor.team_slug)
    groups: dict[str, list[KeptAnimal]] = {}
    for one in rows:
        groups.setdefault(one.pelt or Place.UNSAID, []).append(one)
    order = [Place.UNSAID.value, *(one.value for one in IN_THE_ROOM), PeltState.KEPT.value]
    page = {
        "form": form,
        "pelt": pelt,
        "states": [*IN_THE_ROOM, PeltState.KEPT],
        "groups": [(code, groups[code]) for code in order if code in groups],
        "count": len(rows),
        "most": MOST,
    }
    return render(request, "fur_room.html", page, status=422 if form.errors else 200)


@team_page(ANYONE_IN_TEAM)
def animal_page(request: HttpRequest, actor: Actor, animal_id: UUID) -> HttpResponse:
    """One animal under its one number. Two statements beside the guard's: animal, history."""
    one = access_animal(actor.team, animal_id, only_own(actor))
    entries = history_of(actor.team, animal_id)
    return render(request, "animal.html", {"one": one, "entries": entries})
