"""A reading on a line: snow, water, air or ice, as it was measured."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.duties.selectors import sets_on_lines
from trapline.ground.errors import NotYours
from trapline.ground.ids import new_id
from trapline.ground.units_shown import Quantity, to_si, unit_of
from trapline.lines.selectors import access_line
from trapline.lines.words import Measured
from trapline.pages.forms import DatedForm, person_units, posted
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.people.rights import Actor

QUANTITIES: dict[str, Quantity] = {
    Measured.SNOW_DEPTH_M: "depth",
    Measured.WATER_LEVEL_M: "depth",
    Measured.AIR_C: "temperature",
    Measured.ICE_M: "depth",
}


class ReadingForm(DatedForm):
    """What was measured, how much in the person's units, and when."""

    reading = forms.UUIDField(widget=forms.HiddenInput)
    what = forms.ChoiceField(label=gettext_lazy("What was measured"), widget=forms.RadioSelect)
    value = forms.FloatField(label=gettext_lazy("How much"))
    field_order = ("act", "reading", "what", "value", "when")

    def __init__(self, *args: Any, line: UUID, units: str, **kwargs: Any) -> None:
        super().__init__(*args, units=units, **kwargs)
        self.line, self.units = line, units
        self.initial.setdefault("reading", new_id())
        self.fields["what"].choices = [  # type: ignore[attr-defined]
            (one.value, f"{one.label}, {unit_of(QUANTITIES[one], units).symbol}")
            for one in Measured
        ]

    def body(self) -> dict[str, Any]:
        said = self.cleaned_data
        value = to_si(said["value"], QUANTITIES[said["what"]], self.units)
        return {
            "reading": said["reading"], "line": self.line, "what": said["what"], "value": value,
        }  # fmt: skip


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def new_reading(request: HttpRequest, actor: Actor, line_id: UUID) -> HttpResponse:
    """Enter a reading: the act take_reading."""
    line = access_line(actor.team, line_id)
    if not actor.leads and not sets_on_lines(actor.team, actor.member, lines=[line_id], most=1):
        raise NotYours
    form = ReadingForm(posted(request), line=line_id, tz=line.tz, units=person_units(request.user))
    if request.method == "POST" and form.file(actor, "take_reading"):
        messages.success(request, _("The reading is kept."))
        return redirect("line", team=actor.team_slug, line_id=line_id)
    shown = {"form": form, "line": line}
    return render(request, "new_reading.html", shown, status=422 if form.errors else 200)
