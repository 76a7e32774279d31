"""Showing that a duty is done."""

from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.duties.selectors import access_duty
from trapline.ground.clock import now
from trapline.ground.ids import new_id
from trapline.lines.selectors import day_of_team
from trapline.pages.fields import DayField
from trapline.pages.forms import ActForm, left_words, posted
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.pages.today import only_own
from trapline.people.rights import Actor


class EvidenceForm(ActForm):
    """The number on the paper or the seal, its day, a note."""

    evidence = forms.UUIDField(widget=forms.HiddenInput)
    number = forms.CharField(
        label=gettext_lazy("Number"),
        required=False,
        max_length=120,
        help_text=gettext_lazy("Of the report, the seal or the receipt, as it is written there."),
    )
    on = DayField(label=gettext_lazy("Done on"))
    note = forms.CharField(
        label=gettext_lazy("Note"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("Without a number: to whom it was told, and how."),
    )

    def __init__(self, *args: Any, duty: UUID, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.duty = duty
        self.initial.setdefault("evidence", new_id())
        self.initial.setdefault("on", today)

    def body(self) -> dict[str, Any]:
        return super().body() | {"duty": self.duty}


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def evidence(request: HttpRequest, actor: Actor, duty_id: UUID) -> HttpResponse:
    """Show that a duty is done: the act give_evidence. Two statements beside the guard's."""
    duty = access_duty(actor.team, duty_id, only_own(actor))
    form = EvidenceForm(posted(request), duty=duty.id, today=day_of_team(actor.team, now()))
    if request.method == "POST" and form.file(actor, "give_evidence"):
        messages.success(request, left_words(form) or _("It is kept that this is done."))
        return redirect("today", team=actor.team_slug)
    shown = {"form": form, "duty": duty}
    return render(request, "evidence.html", shown, status=422 if form.errors else 200)
