"""Samples: what was taken of which animal, and what was handed in to whom and when."""

from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.clock import now
from trapline.kept.samples import SampleTaken, samples_asked, samples_of
from trapline.lines.selectors import zone_of_team
from trapline.pages.fields import MomentField
from trapline.pages.forms import ActForm, left_words, posted
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.pages.today import only_own
from trapline.people.rights import Actor


class HandInForm(ActForm):
    """Samples that went to whoever asked for them."""

    samples = forms.MultipleChoiceField(
        label=gettext_lazy("Which"), widget=forms.CheckboxSelectMultiple
    )
    at = MomentField(label=gettext_lazy("When, if not now"), required=False)
    to = forms.CharField(label=gettext_lazy("To whom"), max_length=200)
    reference = forms.CharField(
        label=gettext_lazy("Receipt"), required=False, max_length=200
    )  # fmt: skip

    def __init__(self, *args: Any, there: list[SampleTaken], tz: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        named = [(str(one.id), one.label) for one in there if one.handed_at is None]
        self.fields["samples"].choices = named  # type: ignore[attr-defined]
        self.fields["at"].zone = ZoneInfo(tz)  # type: ignore[attr-defined]

    def moment(self) -> Any:
        return self.cleaned_data.get("at")

    def body(self) -> dict[str, Any]:
        said = super().body()
        del said["at"]
        return said


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def samples_page(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Samples taken and handed in: the act hand_in_samples on one or many.

    Three statements beside the guard's: clock, samples, what rules ask for.
    """
    tz = zone_of_team(actor.team)
    rows = samples_of(actor.team, only_own(actor))
    form = HandInForm(posted(request), there=rows, tz=tz)
    if request.method == "POST" and form.file(actor, "hand_in_samples"):
        messages.success(request, left_words(form) or _("It is kept to whom they went."))
        return redirect("samples", team=actor.team_slug)
    here = [one for one in rows if one.handed_at is None]
    page = {
        "form": form,
        "tz": tz,
        "here": here,
        "asked": samples_asked(actor.team, only_own(actor)),
        "moment": now(),
        "gone": rows[len(here) :],
    }
    return render(request, "samples.html", page, status=422 if form.errors else 200)
