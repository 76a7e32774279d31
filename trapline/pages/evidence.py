"""Showing that a duty is done."""

import hashlib
from datetime import date
from typing import Any, ClassVar
from uuid import UUID

from django import forms
from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.duties.selectors import DutyAtHand, access_duty
from trapline.ground.clock import now
from trapline.ground.errors import Refused
from trapline.ground.ids import new_id
from trapline.lines.models import Photo
from trapline.lines.selectors import day_of_team
from trapline.pages.fields import DayField
from trapline.pages.forms import ActForm, left_words, posted
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.pages.today import only_own
from trapline.people.rights import Actor
from trapline.record.desk import submit
from trapline.record.keep_photo import keep_photo, to_size


class EvidenceForm(ActForm):
    """The number on the paper or the seal, its day, a note, a photograph."""

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

    paper = forms.FileField(
        label=gettext_lazy("A photograph of it"),
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/webp"}),
        help_text=gettext_lazy("Of the seal or the receipt. It is made smaller before it is kept."),
    )
    photo = forms.UUIDField(widget=forms.HiddenInput)
    attach = forms.UUIDField(widget=forms.HiddenInput)
    at_field: ClassVar[dict[str, str]] = {"photo": "paper", "body": "paper"}

    def __init__(self, *args: Any, duty: DutyAtHand, today: date, own: UUID | None,
                 **kwargs: Any) -> None:  # fmt: skip
        super().__init__(*args, **kwargs)
        self.duty = duty
        for name in ("evidence", "photo", "attach"):
            self.initial.setdefault(name, new_id())
        self.initial.setdefault("on", today)
        if duty.check is None or own not in (None, duty.checked_by):
            del self.fields["paper"]  # a photograph belongs to a check of theirs

    def body(self) -> dict[str, Any]:
        said = super().body() | {"duty": self.duty.id}
        del said["attach"]
        if not said.pop("paper", None):
            del said["photo"]
        return said

    def keep(self, actor: Actor) -> bool:
        """The photograph, if one was given, and the evidence: both or neither."""
        with transaction.atomic():
            kept = self.is_valid() and self._attached(actor) and self.file(actor, "give_evidence")
            transaction.set_rollback(not kept)
        return kept

    def _attached(self, actor: Actor) -> bool:
        said = self.cleaned_data
        if not said.get("paper") or Photo.objects.filter(id=said["photo"]).exists():
            return True
        try:
            raw = to_size(said["paper"].read())
            told = {
                "photo": said["photo"], "check": self.duty.check, "size": len(raw),
                "sha256": hashlib.sha256(raw).hexdigest(),
            }  # fmt: skip
            submit(actor, "attach_photo", told, act_id=said["attach"])
            keep_photo(actor, said["photo"], raw, received_at=now())
        except Refused as error:
            self.show(*error.problems)
            return False
        return True


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def evidence(request: HttpRequest, actor: Actor, duty_id: UUID) -> HttpResponse:
    """Show that a duty is done: the acts attach_photo, where there is one, and give_evidence."""
    duty = access_duty(actor.team, duty_id, only_own(actor))
    form = EvidenceForm(
        posted(request), request.FILES or None, duty=duty, own=only_own(actor),
        today=day_of_team(actor.team, now()),
    )  # fmt: skip
    if request.method == "POST" and form.keep(actor):
        messages.success(request, left_words(form) or _("It is kept that this is done."))
        return redirect("today", team=actor.team_slug)
    shown = {"form": form, "duty": duty}
    return render(request, "evidence.html", shown, status=422 if form.errors else 200)
