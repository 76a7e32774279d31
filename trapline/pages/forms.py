"""What every form of ours does: act ids, units, and an act's problems at their fields."""

import json
from datetime import datetime
from typing import Any, ClassVar
from uuid import UUID
from zoneinfo import ZoneInfo

from django import forms
from django.http import HttpRequest, QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground import clock
from trapline.ground.errors import Held, NeedsReview, Problem, Refused
from trapline.ground.ids import new_id
from trapline.ground.words import sentence
from trapline.journal.models import Act, ActState
from trapline.pages.fields import MomentField, QuantityField
from trapline.people.rights import Actor
from trapline.record.desk import CONFLICT, submit, take
from trapline.record.envelope import build

FOR_REVIEW = "for_review"


def prepare(form: forms.Form, units: str) -> None:
    """Give a form's fields our own sentence for what is missing, and the person's units."""
    for field in form.fields.values():
        field.error_messages["required"] = _("This is needed.")
        if isinstance(field, QuantityField):
            field.units = units


class PlainForm(forms.Form):
    """A form in the person's units, with a problem's sentence beside the field that it names.

    `at_field` maps a field of what is written to one of the form where their names differ.
    """

    at_field: ClassVar[dict[str, str]] = {}

    def __init__(self, *args: Any, units: str = "metric", **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        prepare(self, units)

    def show(self, *problems: Problem) -> None:
        """Put each problem's sentence at the field it names, or at the head of the form."""
        for problem in problems:
            name = self.place_of(problem.field)
            self.add_error(name, sentence(problem))

    def place_of(self, field: str) -> str | None:
        """The form's field for a dotted field of the act; None for the head of the form."""
        inner = field.removeprefix("body.").removeprefix("check.")
        for name in (self.at_field.get(inner), inner, inner.split(".")[0]):
            if name in self.fields and not self[name or ""].is_hidden:
                return name
        return None


class ActForm(PlainForm):
    """A form that becomes an act. Its id is made with the form, so that sending twice is once."""

    act = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("act", new_id())
        self.reviewable = False  # well formed, but a leader would have to look
        self.for_review = False  # and now one will

    def body(self) -> dict[str, Any]:
        """The act's body from the cleaned data."""
        return {name: value for name, value in self.cleaned_data.items() if name != "act"}

    def moment(self) -> datetime | None:
        """When it was done; None means now."""
        return None

    def file(self, actor: Actor, kind: str) -> bool:
        """Submit the act. False: it was refused, and each problem stands at its field."""
        if not self.is_valid():
            return False
        body, act = self.body(), self.cleaned_data["act"]
        if FOR_REVIEW in self.data:
            return self._leave(actor, kind, body)
        try:
            done = submit(actor, kind, body, act_id=act, at=self.moment())
        except Refused as error:
            self.show(*error.problems)
        except NeedsReview as error:
            self.reviewable = True
            self.show(error.problem)
        except Held as error:
            self.show(Problem(error.field, "waits_for"))
        else:
            if done.state != CONFLICT or _said_before(act, actor, kind, body):
                return True
            self.show(Problem("id", "sent_before"))
        return False

    def _leave(self, actor: Actor, kind: str, body: dict[str, Any]) -> bool:
        """Keep the act as a phone's would be kept: applied if it can be, else for a leader."""
        act, at = self.cleaned_data["act"], self.moment() or clock.now()
        raw = build(act=act, kind=kind, team=actor.team_slug, at=at, body=body)
        done = take(actor, raw)
        self.show(*(done.problems if done.act is None else ()))
        self.for_review = done.state in (ActState.REVIEW, ActState.HELD)
        return done.act is not None


class DatedForm(ActForm):
    """An act that says when it was done, on the clock of a line."""

    when = MomentField(
        label=gettext_lazy("When"),
        required=False,
        help_text=gettext_lazy("Left empty: now, when you send it."),
    )

    def __init__(self, *args: Any, tz: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        when = self.fields["when"]
        assert isinstance(when, MomentField)
        when.zone = ZoneInfo(tz)
        when.label = _("When, on the clock of %(zone)s") % {"zone": tz}

    def moment(self) -> datetime | None:
        when: datetime | None = self.cleaned_data["when"]
        return when


def _said_before(act: UUID, actor: Actor, kind: str, body: dict[str, Any]) -> bool:
    """Whether the act kept under this id is this one: the button was pressed twice."""
    kept = Act.objects.filter(id=act, kind=kind, sent_by_id=actor.member).first()
    if kept is None:
        return False
    said: dict[str, Any] = json.loads(bytes(kept.body))
    return bool(said["body"] == json.loads(json.dumps(body, default=str)))


def left_words(form: ActForm) -> str:
    """What to say of an act that now waits for a leader; empty for one that was applied."""
    return _("It is kept for an instructor or a manager to look at.") if form.for_review else ""


def posted(request: HttpRequest) -> QueryDict | None:
    """What a form was sent with: also when that is nothing, as long as it was sent."""
    return request.POST if request.method == "POST" else None


def person_units(user: Any) -> str:
    """The units of whoever is signed in."""
    return str(getattr(user, "units", "metric"))


def unchosen() -> tuple[str, str]:
    """The first line of a list from which one must be chosen."""
    return ("", _("Choose …"))
