"""A signal of a monitor on a set, entered by whoever heard it."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.ids import new_id
from trapline.lines.words import Heard
from trapline.pages.forms import DatedForm, left_words, posted
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.pages.today import only_own
from trapline.people.rights import Actor
from trapline.standing.selectors import set_sheet


class SignalForm(DatedForm):
    """What was heard, and when."""

    signal = forms.UUIDField(widget=forms.HiddenInput)
    what = forms.ChoiceField(
        label=gettext_lazy("What was heard"), choices=Heard.choices, widget=forms.RadioSelect
    )
    field_order = ("act", "signal", "what", "when")

    def __init__(self, *args: Any, set_id: UUID, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.set = set_id
        self.initial.setdefault("signal", new_id())

    def body(self) -> dict[str, Any]:
        said = self.cleaned_data
        return {"signal": said["signal"], "set": self.set, "what": said["what"]}


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def new_signal(request: HttpRequest, actor: Actor, set_id: UUID) -> HttpResponse:
    """Enter a signal: the act take_signal. One statement beside the guard's."""
    sheet = set_sheet(actor.team, set_id, only_own(actor))
    form = SignalForm(posted(request), set_id=set_id, tz=sheet.tz)
    if request.method == "POST" and form.file(actor, "take_signal"):
        messages.success(request, left_words(form) or _("The signal is kept."))
        return redirect("set", team=actor.team_slug, set_id=set_id)
    shown = {"set": sheet, "form": form}
    return render(request, "new_signal.html", shown, status=422 if form.errors else 200)
