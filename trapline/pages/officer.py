"""What an officer says, written down: an extension for sets of a line, a closure, its end."""

from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.ids import new_id
from trapline.lines.selectors import access_line, zone_of_team
from trapline.pages.fields import MomentField, on_the_clock
from trapline.pages.forms import ActForm, posted, unchosen
from trapline.pages.guard import LEADS, team_page
from trapline.people.rights import Actor
from trapline.rulebook.selectors import (
    access_closure,
    authorities,
    species_cards,
    zone_codes,
)
from trapline.standing.selectors import standing_on


class ExtensionForm(ActForm):
    """An officer's extension for sets that stand on one line."""

    sets = forms.MultipleChoiceField(
        label=gettext_lazy("Sets"), widget=forms.CheckboxSelectMultiple
    )
    authority = forms.ChoiceField(label=gettext_lazy("Authority"))
    officer = forms.CharField(label=gettext_lazy("Officer’s name"), max_length=200)
    number = forms.CharField(
        label=gettext_lazy("Number of the extension, or how it was given"), max_length=200
    )
    until = MomentField(label=gettext_lazy("Until"))

    def __init__(self, *args: Any, actor: Actor, line: UUID, tz: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        until = self.fields["until"]
        assert isinstance(until, MomentField)
        until.zone = ZoneInfo(tz)
        until.label = _("Until, on the clock of %(zone)s") % {"zone": tz}
        self.fields["sets"].choices = standing_on(actor.team, line)  # type: ignore[attr-defined]
        self.fields["authority"].choices = _authorities(actor)  # type: ignore[attr-defined]


class CloseForm(ActForm):
    """A species is closed from a moment."""

    closure = forms.UUIDField(widget=forms.HiddenInput)
    authority = forms.ChoiceField(label=gettext_lazy("Authority"))
    species = forms.ChoiceField(label=gettext_lazy("Species"))
    zone = forms.ChoiceField(label=gettext_lazy("Zone"), required=False)
    from_at = MomentField(label=gettext_lazy("Closed from"))
    grace_hours = forms.FloatField(
        label=gettext_lazy("Hours of grace"),
        required=False,
        min_value=0,
        max_value=24 * 60,
        help_text=gettext_lazy("Sets made for the species are to be pulled by then."),
    )
    reference = forms.CharField(label=gettext_lazy("Number or date of the notice"), max_length=200)
    note = forms.CharField(
        label=gettext_lazy("Note"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("closure", new_id())
        named = {
            "authority": _authorities(actor),
            "species": [
                unchosen(), *((str(one.id), one.name) for one in species_cards(actor.team))
            ],
            "zone": [("", _("everywhere")), *((one, one) for one in zone_codes(actor.team))],
        }  # fmt: skip
        for name, choices in named.items():
            self.fields[name].choices = choices  # type: ignore[attr-defined]
        on_the_clock(self, zone_of_team(actor.team))

    def body(self) -> dict[str, Any]:
        said = super().body()
        return said | {"grace_hours": said["grace_hours"] or 0.0}


class ReopenForm(ActForm):
    """A closure is over, by another notice."""

    from_at = MomentField(label=gettext_lazy("Open again from"))
    reference = forms.CharField(label=gettext_lazy("Number or date of the notice"), max_length=200)

    def __init__(self, *args: Any, closure: UUID, tz: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.closure = closure
        on_the_clock(self, tz)

    def body(self) -> dict[str, Any]:
        return super().body() | {"closure": self.closure}


def _authorities(actor: Actor) -> list[tuple[str, str]]:
    return [unchosen(), *((str(one.id), one.name) for one in authorities(actor.team))]


@team_page(LEADS, "GET", "POST")
def extension(request: HttpRequest, actor: Actor, line_id: UUID) -> HttpResponse:
    """Note an extension: the act grant_extension. `set` names a set that is chosen beforehand."""
    line = access_line(actor.team, line_id)
    form = ExtensionForm(
        posted(request),
        actor=actor,
        line=line_id,
        tz=line.tz,
        initial={"sets": request.GET.getlist("set")},
    )
    if request.method == "POST" and form.file(actor, "grant_extension"):
        messages.success(request, _("The extension is kept; due times follow it."))
        return redirect("line", team=actor.team_slug, line_id=line_id)
    shown = {"form": form, "line": line}
    return render(request, "extension.html", shown, status=422 if form.errors else 200)


@team_page(LEADS, "GET", "POST")
def close_by_notice(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Close a species: the act close_by_notice."""
    form = CloseForm(posted(request), actor=actor)
    if request.method == "POST" and form.file(actor, "close_by_notice"):
        messages.success(request, _("The closure is kept; sets made for it are to be pulled."))
        return redirect("rules", team=actor.team_slug)
    shown = {"form": form}
    return render(request, "close_by_notice.html", shown, status=422 if form.errors else 200)


@team_page(LEADS, "GET", "POST")
def reopen(request: HttpRequest, actor: Actor, closure_id: UUID) -> HttpResponse:
    """End a closure: the act reopen_by_notice."""
    closed = access_closure(actor.team, closure_id)
    tz = zone_of_team(actor.team)
    form = ReopenForm(posted(request), closure=closure_id, tz=tz)
    if request.method == "POST" and form.file(actor, "reopen_by_notice"):
        messages.success(request, _("The closure ends then."))
        return redirect("rules", team=actor.team_slug)
    shown = {"form": form, "closed": closed, "tz": tz}
    return render(request, "reopen.html", shown, status=422 if form.errors else 200)
