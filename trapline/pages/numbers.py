"""Numbers of a book that go another way than on an animal: void, lost, returned."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.errors import NotYours
from trapline.lines.selectors import (
    NumberBook,
    number_books,
    numbers_adrift,
    numbers_of_book,
    zone_of_team,
)
from trapline.lines.words import NumberUse
from trapline.pages.forms import ActForm, posted, unchosen
from trapline.pages.guard import ANYONE_IN_TEAM, LEADS, team_page
from trapline.people.models import Licence
from trapline.people.rights import Actor
from trapline.wording.vocabulary import label_of

MOST = 2_000_000_000
SHOWN = 2000


def _books(actor: Actor) -> list[NumberBook]:
    """The books that the actor may see: who leads all, a member those of their own licences."""
    books = number_books(actor.team)
    if actor.leads:
        return books
    held = set(Licence.objects.filter(holder_id=actor.member).values_list("id", flat=True))
    return [one for one in books if one.licence in held]


@team_page(ANYONE_IN_TEAM)
def tag_books(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Every book with who holds it and what became of its numbers. Two statements beside the

    guard's: books, numbers adrift; for a member books and their licences.
    """
    adrift = numbers_adrift(actor.team) if actor.leads else []
    return render(request, "tag_books.html", {"books": _books(actor), "adrift": adrift})


@team_page(ANYONE_IN_TEAM)
def tag_book(request: HttpRequest, actor: Actor, series_id: UUID) -> HttpResponse:
    """Each number of one book. Three statements beside the guard's: books, numbers, clock."""
    found = [one for one in _books(actor) if one.id == series_id]
    if not found:
        raise NotYours
    (book,) = found
    numbers = numbers_of_book(actor.team, series_id, most=SHOWN)
    last = numbers[-1].number if numbers else book.first - 1
    page = {
        "book": book,
        "numbers": numbers,
        "most": SHOWN,
        "rest": None if last >= book.last or len(numbers) == SHOWN else (last + 1, book.last),
        "tz": zone_of_team(actor.team),
    }
    return render(request, "tag_book.html", page)


class AsideForm(ActForm):
    """Which numbers of which book, and what became of them."""

    series = forms.ChoiceField(label=gettext_lazy("Book"))
    number = forms.IntegerField(
        label=gettext_lazy("Number, without what stands in front of it"),
        min_value=0,
        max_value=MOST,
    )
    last = forms.IntegerField(
        label=gettext_lazy("Up to, if it is more than one"),
        required=False,
        min_value=0,
        max_value=MOST,
    )
    use = forms.ChoiceField(
        label=gettext_lazy("What became of it"),
        choices=[choice for choice in NumberUse.choices if choice[0] != NumberUse.USED],
        widget=forms.RadioSelect,
    )

    def __init__(self, *args: Any, books: list[NumberBook], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["series"].choices = [unchosen(), *map(_named, books)]  # type: ignore[attr-defined]


def _named(book: NumberBook) -> tuple[str, str]:
    kind = label_of("number_kind", book.kind)
    run = f"{book.prefix}{book.first} – {book.prefix}{book.last}"
    return str(book.id), f"{book.licence_number} · {kind} · {run}"


@team_page(LEADS, "GET", "POST")
def spend_number(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Set numbers aside: the act spend_number."""
    form = AsideForm(posted(request), books=number_books(actor.team))
    if request.method == "POST" and form.file(actor, "spend_number"):
        messages.success(request, _("It stands in the book."))
        return redirect("members", team=actor.team_slug)
    shown = {"form": form, "adrift": numbers_adrift(actor.team)}
    return render(request, "spend_number.html", shown, status=422 if form.errors else 200)
