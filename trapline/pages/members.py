"""Members: roles, sign-offs, licences, tag books, the numbers to call."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.clock import now
from trapline.journal.team_settings import NumberToCall, numbers_to_call, put_numbers_to_call
from trapline.lines.selectors import number_books
from trapline.lines.words import NumberKind
from trapline.pages.forms import ActForm, posted, unchosen
from trapline.pages.guard import ANYONE_IN_TEAM, LEADS, MANAGES, team_page
from trapline.people.rights import Actor
from trapline.people.selectors import licences, members_in_office, papers, sign_offs, skills


@team_page(ANYONE_IN_TEAM)
def members(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Six statements beside the guard's: members, sign-offs, licences, papers, books, numbers."""
    given = sign_offs(actor.team)
    people = [
        {"member": member, "sign_offs": [one for one in given if one.member_id == member.id]}
        for member in members_in_office(actor.team)
    ]
    shown = {
        "people": people,
        "licences": licences(actor.team),
        "papers": papers(actor.team),
        "today": now().date(),
        "books": number_books(actor.team),
        "calls": numbers_to_call(actor.team),
    }
    return render(request, "members.html", shown)


class SignOffForm(ActForm):
    """One's word that a member may do something alone."""

    member = forms.ChoiceField(label=gettext_lazy("Member"))
    skill = forms.ChoiceField(label=gettext_lazy("May do alone"))

    def __init__(self, *args: Any, lists: dict[str, Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, choices in lists.items():
            self.fields[name].choices = choices  # type: ignore[attr-defined]


@team_page(LEADS, "GET", "POST")
def sign_off(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Sign a member off: the act sign_off."""
    lists = {
        "member": [unchosen(), *((str(m.id), m.name) for m in members_in_office(actor.team))],
        "skill": [unchosen(), *((str(s.id), s.name) for s in skills(actor.team))],
    }
    form = SignOffForm(
        posted(request), lists=lists, initial={"member": request.GET.get("member", "")}
    )
    if request.method == "POST" and form.file(actor, "sign_off"):
        messages.success(request, _("The sign-off is kept."))
        return redirect("members", team=actor.team_slug)
    return render(request, "sign_off.html", {"form": form}, status=422 if form.errors else 200)


class _EndForm(ActForm):
    def __init__(self, *args: Any, sign_off: UUID, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.sign_off = sign_off

    def body(self) -> dict[str, Any]:
        return {"sign_off": self.sign_off}


@team_page(LEADS, "GET", "POST")
def end_sign_off(request: HttpRequest, actor: Actor, sign_off_id: UUID) -> HttpResponse:
    """End a sign-off from now on: the act end_sign_off."""
    given = [one for one in sign_offs(actor.team) if one.id == sign_off_id]
    form = _EndForm(posted(request), sign_off=sign_off_id)
    if request.method == "POST" and form.file(actor, "end_sign_off"):
        messages.success(request, _("The sign-off has ended."))
        return redirect("members", team=actor.team_slug)
    shown = {"form": form, "sign_off": given[0] if given else None}
    status = 422 if form.errors else 200 if given else 404
    return render(request, "end_sign_off.html" if given else "404.html", shown, status=status)


class BookForm(ActForm):
    """A run of numbers issued to a licence."""

    licence = forms.ChoiceField(label=gettext_lazy("Licence"))
    kind = forms.ChoiceField(label=gettext_lazy("What is numbered"), choices=NumberKind.choices)
    prefix = forms.CharField(  # type: ignore[assignment]  # the act's own name for it
        label=gettext_lazy("In front of each number"),
        required=False,
        max_length=20,
        strip=False,
        help_text=gettext_lazy("For example “NV-”. Leave it empty for plain numbers."),
    )
    first = forms.IntegerField(label=gettext_lazy("First"), min_value=0, max_value=2_000_000_000)
    last = forms.IntegerField(label=gettext_lazy("Last"), min_value=0, max_value=2_000_000_000)

    def __init__(self, *args: Any, licences: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["licence"].choices = licences  # type: ignore[attr-defined]


@team_page(LEADS, "GET", "POST")
def issue_numbers(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Enter a tag book: the act issue_numbers."""
    held = [(str(one.id), f"{one.number} · {one.holder}") for one in licences(actor.team)]
    form = BookForm(posted(request), licences=[unchosen(), *held])
    if request.method == "POST" and form.file(actor, "issue_numbers"):
        messages.success(request, _("The numbers are in the book."))
        return redirect("members", team=actor.team_slug)
    shown = {"form": form, "licences": held}
    return render(request, "issue_numbers.html", shown, status=422 if form.errors else 200)


class NumbersForm(forms.Form):
    """Whom to call when an animal waits: one a line, `name: number`."""

    numbers = forms.CharField(
        label=gettext_lazy("Numbers to call, one a line"),
        required=False,
        max_length=2000,
        help_text=gettext_lazy("Name, a colon, the number: Duty instructor: +1 867 555 0142"),
        widget=forms.Textarea(attrs={"rows": 5}),
    )

    def clean_numbers(self) -> list[NumberToCall]:
        found = []
        for row, line in enumerate(self.cleaned_data["numbers"].splitlines(), start=1):
            if not line.strip():
                continue
            who, colon, number = (part.strip() for part in line.rpartition(":"))
            if not colon or not who or not any(sign.isdigit() for sign in number):
                said = _("Line %(row)s: write a name, a colon and the number.") % {"row": row}
                raise forms.ValidationError(said)
            found.append(NumberToCall(who, number))
        return found


@team_page(MANAGES, "GET", "POST")
def call_numbers(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The numbers that stand beside an alarm."""
    known = "\n".join(f"{one.who}: {one.number}" for one in numbers_to_call(actor.team))
    form = NumbersForm(posted(request), initial={"numbers": known}, label_suffix="")
    if request.method == "POST" and form.is_valid():
        put_numbers_to_call(actor.team, form.cleaned_data["numbers"])
        messages.success(request, _("The numbers are kept."))
        return redirect("members", team=actor.team_slug)
    return render(request, "call_numbers.html", {"form": form}, status=422 if form.errors else 200)


@team_page(ANYONE_IN_TEAM)
def more(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The rest of the team's pages, for a phone."""
    return render(request, "more.html")
