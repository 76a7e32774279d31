"""Acts that could not simply be applied: what was sent, why it waits, and a reviewer's word."""

from datetime import timedelta
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.clock import now
from trapline.journal.selectors import acts_to_review, sent_act, settled_acts, stop_pages_opened
from trapline.pages.forms import ActForm, posted
from trapline.pages.guard import LEADS, team_page
from trapline.people.rights import Actor
from trapline.standing.doubtful import doubtful_checks

LATELY = timedelta(days=14)


class SettleForm(ActForm):
    """Take it in or decline it, with a word why."""

    note = forms.CharField(
        label=gettext_lazy("Your reason"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args: Any, settles: UUID, accept: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.settles, self.accept = settles, accept

    def body(self) -> dict[str, Any]:
        return {"act": self.settles, "accept": self.accept, "note": self.cleaned_data["note"]}


@team_page(LEADS)
def review(request: HttpRequest, actor: Actor) -> HttpResponse:
    """What waits for a decision, what was decided lately, and what looks wrong of what was taken.

    Four statements beside the guard's: acts that wait, settled ones, checks, stop pages.
    """
    moment = now()
    shown = {
        "acts": acts_to_review(actor.team),
        "settled": settled_acts(actor.team),
        "doubtful": doubtful_checks(actor.team, moment - LATELY),
        "opened": stop_pages_opened(actor.team, moment - LATELY),
        "moment": moment,
    }
    return render(request, "review.html", shown)


@team_page(LEADS, "GET", "POST")
def settle(request: HttpRequest, actor: Actor, act_id: UUID) -> HttpResponse:
    """One act: its words as they were sent, and the decision: the act settle_act."""
    sent = sent_act(actor.team, act_id)
    accept = "accept" in request.POST
    form = SettleForm(posted(request), settles=act_id, accept=accept)
    if request.method == "POST" and form.file(actor, "settle_act"):
        done = _("It is taken into the record.") if accept else _("It is declined, and kept so.")
        messages.success(request, done)
        return redirect("review", team=actor.team_slug)
    shown = {"sent": sent, "form": form, "moment": now()}
    return render(request, "settle.html", shown, status=422 if form.errors else 200)
