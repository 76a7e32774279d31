"""Who is told of a duty, and when: the team's setting, one form for each kind of duty."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from trapline.duties.lists import stages as stages_of
from trapline.duties.models import Kind, Recipient
from trapline.pages.forms import ActForm, posted
from trapline.pages.guard import MANAGES, team_page
from trapline.people.rights import Actor

KINDS = tuple(Kind)
ROWS = 6
HOUR_S = 3600


class StagesForm(ActForm):
    """Up to six moments of one kind of duty, each with whom to tell. An empty row is none."""

    def __init__(self, *args: Any, kind: Kind, **kwargs: Any) -> None:
        super().__init__(*args, prefix=kind.value, **kwargs)
        self.kind = kind
        for row in range(ROWS):
            self.fields[f"hours-{row}"] = forms.FloatField(
                label=_("Hours, row %(row)s") % {"row": row + 1},
                required=False,
                min_value=0,
                max_value=60 * 24,
            )
            self.fields[f"side-{row}"] = forms.ChoiceField(
                label=_("Before or after, row %(row)s") % {"row": row + 1},
                choices=[("after", _("after")), ("before", _("before"))],
                required=False,
            )
            self.fields[f"who-{row}"] = forms.ChoiceField(
                label=_("Who is told, row %(row)s") % {"row": row + 1},
                choices=[("", _("Nobody")), *Recipient.choices],
                required=False,
            )

    @property
    def rows(self) -> list[Any]:
        """The three fields of each row, for the page."""
        return [tuple(self[f"{name}-{row}"] for name in FIELDS) for row in range(ROWS)]

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        for row in range(ROWS):
            if said.get(f"who-{row}") and said.get(f"hours-{row}") is None:
                name = f"hours-{row}"
                if name not in self.errors:
                    self.add_error(name, _("Say how many hours; 0 is when it falls due."))
        return said

    def body(self) -> dict[str, Any]:
        said = self.cleaned_data
        rows = [
            {
                "offset_s": round(said[f"hours-{row}"] * HOUR_S)
                * (-1 if said[f"side-{row}"] == "before" else 1),
                "recipient": said[f"who-{row}"],
            }
            for row in range(ROWS)
            if said[f"who-{row}"]
        ]
        return {"kind": self.kind.value, "stages": sorted(rows, key=lambda one: one["offset_s"])}

    def place_of(self, field: str) -> str | None:
        """stages.2 is the third row that was filled in."""
        step = field.removeprefix("body.").split(".")
        if step[0] != "stages" or len(step) < 2 or not step[1].isdigit():
            return None
        filled = [row for row in range(ROWS) if self.data.get(f"{self.prefix}-who-{row}")]
        number = int(step[1])
        return f"hours-{filled[number]}" if number < len(filled) else None


FIELDS = ("hours", "side", "who")


def _started(team: Any, kind: Kind) -> dict[str, Any]:
    values: dict[str, Any] = {}
    found = [one for one in stages_of(team) if one.kind == kind]
    for row, one in enumerate(found[:ROWS]):
        values[f"hours-{row}"] = f"{abs(one.offset_s) / HOUR_S:g}"
        values[f"side-{row}"] = "before" if one.offset_s < 0 else "after"
        values[f"who-{row}"] = one.recipient
    return values


@team_page(MANAGES, "GET", "POST")
def stages(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Set the stages of one kind of duty: the act set_notice_stages."""
    sent = posted(request)
    kinds = []
    for kind in KINDS:
        mine = sent if sent is not None and f"{kind.value}-act" in sent else None
        form = StagesForm(mine, kind=kind, initial=_started(actor.team, kind))
        if mine is not None and form.file(actor, "set_notice_stages"):
            said = _("From now on: %(kind)s.") % {"kind": kind.label}
            messages.success(request, said)
            return redirect("stages", team=actor.team_slug)
        kinds.append({"name": kind.label, "form": form})
    wrong = sent is not None
    return render(request, "stages.html", {"kinds": kinds}, status=422 if wrong else 200)
