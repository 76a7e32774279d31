"""A whole sheet typed in: a row for each set, each row an act of its own, kept or not by itself."""

from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from trapline.duties.selectors import SetOnLine, sets_on_lines
from trapline.ground.clock import now
from trapline.ground.errors import NotYours
from trapline.ground.ids import new_id
from trapline.lines.selectors import access_line
from trapline.lines.words import Done, Found, Gone, Sign
from trapline.pages.fields import DayField, MomentField
from trapline.pages.forms import ActForm, PlainForm, posted
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.pages.today import only_own
from trapline.people.rights import Actor

MOST = 200
# What asks for more than a cell holds has the check's own form: an animal, a new place or height.
FOUND = [(one.value, one.label) for one in Found if one is not Found.ANIMAL]
DONE = [(one.value, one.label) for one in Done if one not in (Done.MOVED, Done.RAISED)]
HOW = [("", "—"), *Sign.choices, *Gone.choices]


class SheetForm(PlainForm):
    """What holds for every row: the day of the round."""

    day = DayField(label=gettext_lazy("Day of the round"))


class SheetRow(ActForm):
    """One set's row. Without anything found it is left out."""

    at_field = {
        "at": "time", "wall_at": "time", "reason": "note", "sign": "how", "gone_how": "how",
        "set": "found",
    }  # fmt: skip
    use_required_attribute = False

    check = forms.UUIDField(widget=forms.HiddenInput)
    found = forms.ChoiceField(label=gettext_lazy("Found"), choices=[("", "—"), *FOUND])
    how = forms.ChoiceField(label=gettext_lazy("Sprung by, gone how"), choices=HOW, required=False)
    done = forms.ChoiceField(label=gettext_lazy("Done"), choices=[("", "—"), *DONE], required=False)
    time = forms.CharField(
        label=gettext_lazy("Time"), widget=forms.TimeInput(attrs={"type": "time"})
    )
    note = forms.CharField(label=gettext_lazy("Note, reason"), required=False, max_length=2000)

    def __init__(self, *args: Any, stands: SetOnLine, day: str, **kwargs: Any) -> None:
        super().__init__(*args, prefix=f"row-{stands.id}", label_suffix="", **kwargs)
        self.initial.setdefault("check", new_id())
        self.stands, self.day, self.kept = stands, day, False
        for name, field in self.fields.items():
            field.widget.attrs["aria-label"] = f"{stands.label}: {field.label or name}"

    @property
    def said(self) -> bool:
        """Whether anything was typed in this row."""
        return any(
            self.data.get(self.add_prefix(name)) for name in ("found", "how", "done", "note")
        )

    def clean_time(self) -> datetime:
        clock = MomentField()
        clock.zone = ZoneInfo(self.stands.tz)
        at = clock.clean(f"{self.day}T{self.cleaned_data['time']}")
        assert isinstance(at, datetime)
        return at

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        found, how = said.get("found"), said.get("how")
        if found == Found.GONE and how not in Gone.values:
            self.add_error("how", _("Say how it is gone."))
        elif how and how not in (Gone.values if found == Found.GONE else Sign.values):
            self.add_error("how", _("This goes with something else found."))
        elif how and found not in (Found.GONE, Found.SPRUNG):
            self.add_error("how", _("This goes with “sprung” or “gone” only."))
        if found == Found.NOT_REACHED and not said.get("note"):
            self.add_error("note", _("Say why it was not reached."))
        return said

    def moment(self) -> datetime | None:
        at: datetime = self.cleaned_data["time"]
        return at

    def body(self) -> dict[str, Any]:
        said = self.cleaned_data
        found, reached = said["found"], said["found"] != Found.NOT_REACHED
        body = {
            "check": said["check"], "set": self.stands.id, "found": found,
            "done": [said["done"]] if said["done"] and reached else [],
            ("note" if reached else "reason"): said["note"],
        }  # fmt: skip
        if said["how"]:
            body["gone_how" if found == Found.GONE else "sign"] = said["how"]
        return body


def _day(text: str) -> str:
    """The day as it was typed, if it is one; else a text that no moment is read from."""
    try:
        return forms.DateField().clean(text).isoformat()  # type: ignore[no-any-return]
    except ValidationError:
        return "?"


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def type_sheet(request: HttpRequest, actor: Actor, line_id: UUID) -> HttpResponse:
    """Type a sheet in: the act log_check for each row. What is refused stays; the rest is kept."""
    line = access_line(actor.team, line_id)
    sets = sets_on_lines(actor.team, only_own(actor), lines=[line_id], most=MOST)
    if not sets and not actor.leads:
        raise NotYours
    sent, today = posted(request), now().astimezone(ZoneInfo(line.tz)).date()
    head = SheetForm(sent, initial={"day": today})
    day = _day(str(sent.get("day", ""))) if sent is not None else ""
    sets.sort(key=lambda one: one.label)
    rows = [SheetRow(sent, stands=one, day=day) for one in sets]
    if sent is not None and head.is_valid():
        typed = [row for row in rows if row.said]
        for row in typed:
            row.kept = row.file(actor, "log_check")
        count = sum(row.kept for row in typed)
        if count:
            text = ngettext("%(n)s check is kept.", "%(n)s checks are kept.", count)
            messages.success(request, text % {"n": count})
        if count == len(typed) and typed:
            return redirect("line", team=actor.team_slug, line_id=line_id)
        if not typed:
            head.add_error(None, _("Nothing is typed in yet: choose what was found at a set."))
    for row in rows:
        if sent is not None and not row.said:
            row.errors.clear()
    shown = {
        "line": line, "head": head, "rows": rows, "most": MOST,
        "reviewable": any(row.reviewable for row in rows),
    }  # fmt: skip
    return render(request, "type_sheet.html", shown, status=200 if sent is None else 422)
