"""Numbers of a book that go another way than on an animal: void, lost, returned."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.lines.selectors import NumberBook, number_books, numbers_adrift
from trapline.lines.words import NumberUse
from trapline.pages.forms import ActForm, posted, unchosen
from trapline.pages.guard import LEADS, team_page
from trapline.people.rights import Actor
from trapline.wording.vocabulary import label_of

MOST = 2_000_000_000


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
