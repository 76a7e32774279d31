"""Labels of devices and parts, each with a code; and what somebody sees who scans one."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.gear.models import DeviceKind
from trapline.gear.selectors import part_kinds
from trapline.ground.errors import NotYours
from trapline.pages.codes import qr_svg
from trapline.pages.forms import PlainForm
from trapline.pages.guard import ANYONE_IN_TEAM, LEADS, team_page
from trapline.people.rights import Actor
from trapline.standing.labelled import Labelled, labelled, met_at
from trapline.wording.vocabulary import label_of

MOST = 300


@dataclass(frozen=True)
class Paper:
    """A sheet of labels. Sizes in millimetres; label sheets of such sizes are common practice."""

    words: Any
    sheet: str
    columns: int
    rows: int

    @property
    def on_a_sheet(self) -> int:
        return self.columns * self.rows


# static/css/labels.css lays them out by these names.
PAPERS = {
    "a4-24": Paper(gettext_lazy("A4, 24 of 70 × 37 mm"), "a4", 3, 8),
    "a4-40": Paper(gettext_lazy("A4, 40 of 48.5 × 25.4 mm"), "a4", 4, 10),
    "letter-30": Paper(gettext_lazy("Letter, 30 of 66.7 × 25.4 mm"), "letter", 3, 10),
    "letter-20": Paper(gettext_lazy("Letter, 20 of 101.6 × 25.4 mm"), "letter", 2, 10),
}
DEVICES, MARKED = "devices", "marked"


class LabelForm(PlainForm):
    """Which labels, on what paper, and how many of the first sheet are used already."""

    of = forms.ChoiceField(label=gettext_lazy("Labels of"))
    paper = forms.ChoiceField(
        label=gettext_lazy("Paper"), choices=[(name, one.words) for name, one in PAPERS.items()]
    )
    used = forms.IntegerField(
        label=gettext_lazy("Labels of the first sheet that are used already"),
        min_value=0,
        max_value=39,
        initial=0,
    )

    def __init__(self, *args: Any, actor: Actor, one: UUID | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kinds = DeviceKind.objects.filter(team_id=actor.team).order_by("name")
        self.fields["of"].choices = [  # type: ignore[attr-defined]
            *([(f"one-{one}", _("This one"))] if one else []),
            (DEVICES, _("All devices")),
            *((f"device-{key}", name) for key, name in kinds.values_list("id", "name")),
            (MARKED, _("All parts with a mark")),
            *((f"part-{kind.id}", kind.name) for kind in part_kinds(actor.team)),
        ]


@team_page(LEADS)
def labels(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Labels to print. Three statements beside the guard's: kinds of both sorts, things."""
    asked = request.GET or {"of": DEVICES, "paper": "a4-24", "used": "0"}
    form = LabelForm(asked, actor=actor, one=_one(asked.get("of", "")))
    if not form.is_valid():
        return render(request, "labels.html", {"form": form}, status=422)
    paper = PAPERS[form.cleaned_data["paper"]]
    found = _things(actor, form.cleaned_data["of"])
    shown = {
        "form": form,
        "name": form.cleaned_data["paper"],
        "paper": paper,
        "sheets": _sheets([_label(request, actor, one) for one in found], form, paper),
        "total": found[0].total if found else 0,
        "most": MOST,
    }
    return render(request, "labels.html", shown)


def _one(of: str) -> UUID | None:
    sort, _dash, key = of.partition("-")
    try:
        return UUID(key) if sort == "one" else None
    except ValueError:
        return None


def _things(actor: Actor, of: str) -> list[Labelled]:
    sort, _dash, key = of.partition("-")
    return labelled(
        actor.team,
        devices=sort in (DEVICES, "device", "one"),
        parts=sort in (MARKED, "part", "one"),
        kind=UUID(key) if sort in ("device", "part") else None,
        one=UUID(key) if sort == "one" else None,
        marked=sort == MARKED,
        most=MOST,
    )


def _label(request: HttpRequest, actor: Actor, one: Labelled) -> tuple[str, str, SafeString]:
    """What it says in large and in small, and its code."""
    path = reverse("met", kwargs={"team": actor.team_slug, "thing": one.id})
    role = label_of("part_role", one.role) if one.role else ""
    name = one.mark or f"… {str(one.id)[-6:]}"
    code = qr_svg(request.build_absolute_uri(path), _("Code of %(name)s") % {"name": name})
    return name, f"{role}: {one.kind}" if role else one.kind, code


def _sheets(
    found: list[tuple[str, str, SafeString]], form: LabelForm, paper: Paper
) -> list[list[tuple[str, str, SafeString] | None]]:
    """The labels sheet by sheet, after those of the first that are used."""
    used = form.cleaned_data["used"] % paper.on_a_sheet
    places = [*([None] * used), *found]
    return [
        places[begin : begin + paper.on_a_sheet]
        for begin in range(0, len(places) if found else 0, paper.on_a_sheet)
    ]


@team_page(ANYONE_IN_TEAM)
def met(request: HttpRequest, actor: Actor, thing: UUID) -> HttpResponse:
    """Whoever scans a label is led on: a leader to the thing, a member to their own set or list.

    One statement beside the guard's. Unknown and forbidden look the same.
    """
    found = met_at(actor.team, thing, actor.member)
    if found is None:
        raise NotYours
    if actor.leads:
        to = "part" if found.is_part else "device"
        return redirect(to, actor.team_slug, thing)
    if found.own_set is not None:
        return redirect("set", actor.team_slug, found.own_set)
    if found.own_pick is not None:
        return redirect("pick", actor.team_slug, found.own_pick)
    raise NotYours
