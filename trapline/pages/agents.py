"""Papers by which somebody tends, kills, carries or tags under another's licence."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.errors import NotYours
from trapline.ground.ids import new_id
from trapline.pages.fields import DayField
from trapline.pages.forms import ActForm, posted, unchosen
from trapline.pages.guard import LEADS, team_page
from trapline.people.models import AgentDeed, Papers
from trapline.people.rights import Actor
from trapline.people.selectors import licences, members_in_office, papers


class PaperForm(ActForm):
    """A paper as it is written."""

    paper = forms.UUIDField(widget=forms.HiddenInput)
    licence = forms.ChoiceField(label=gettext_lazy("Whose licence"))
    agent = forms.ChoiceField(label=gettext_lazy("Who may do it"))
    may = forms.MultipleChoiceField(
        label=gettext_lazy("May"), choices=AgentDeed.choices, widget=forms.CheckboxSelectMultiple
    )
    reference = forms.CharField(
        label=gettext_lazy("The paper: its number, date, who signed it"), max_length=200
    )
    valid_from = DayField(label=gettext_lazy("Valid from"))
    valid_until = DayField(
        label=gettext_lazy("Valid until"),
        help_text=gettext_lazy("An earlier day ends it: what it covered until then stays so."),
    )

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("paper", new_id())
        held = [(str(one.id), f"{one.number} · {one.holder}") for one in licences(actor.team)]
        people = [(str(one.id), one.name) for one in members_in_office(actor.team)]
        self.fields["licence"].choices = [unchosen(), *held]  # type: ignore[attr-defined]
        self.fields["agent"].choices = [unchosen(), *people]  # type: ignore[attr-defined]


@team_page(LEADS, "GET", "POST")
def new_paper(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Enter a paper: the act give_paper."""
    return _page(request, actor, None)


@team_page(LEADS, "GET", "POST")
def paper(request: HttpRequest, actor: Actor, paper_id: UUID) -> HttpResponse:
    """Say a paper anew, or end it by an earlier last day: the act give_paper."""
    known = next((one for one in papers(actor.team) if one.id == paper_id), None)
    if known is None:
        raise NotYours
    return _page(request, actor, known)


def _page(request: HttpRequest, actor: Actor, known: Papers | None) -> HttpResponse:
    started: dict[str, Any] = {}
    if known is not None:
        started = {
            "paper": known.id, "licence": str(known.licence_id), "agent": str(known.agent_id),
            "may": known.may, "reference": known.reference, "valid_from": known.valid_from,
            "valid_until": known.valid_until,
        }  # fmt: skip
    form = PaperForm(posted(request), actor=actor, initial=started)
    if request.method == "POST" and form.file(actor, "give_paper"):
        messages.success(request, _("The paper is noted."))
        return redirect("members", team=actor.team_slug)
    page = {"form": form, "paper": known}
    return render(request, "agent_paper.html", page, status=422 if form.errors else 200)
