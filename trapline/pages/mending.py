"""What is done to a device or a part: taken apart, a part replaced, a tag put on or taken off."""

from typing import Any
from uuid import UUID, uuid5

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.gear.models import PartState
from trapline.gear.selectors import part_kinds
from trapline.pages.forms import ActForm, posted, unchosen
from trapline.pages.guard import LEADS, team_page
from trapline.people.rights import Actor
from trapline.standing.histories import access_device, access_part
from trapline.standing.selectors import PartInDevice, fit_parts, parts_of
from trapline.wording.vocabulary import label_of


class StripForm(ActForm):
    """What becomes of the parts that come out."""

    device = forms.UUIDField(widget=forms.HiddenInput)
    state = forms.ChoiceField(
        label=gettext_lazy("Its parts are"),
        choices=[
            (PartState.INSPECT.value, gettext_lazy("to be inspected")),
            (PartState.STOCK.value, gettext_lazy("looked over and in stock")),
        ],
        widget=forms.RadioSelect,
        initial=PartState.INSPECT.value,
    )


@team_page(LEADS, "GET", "POST")
def strip(request: HttpRequest, actor: Actor, device_id: UUID) -> HttpResponse:
    """Take a device apart: the act strip_device."""
    device = access_device(actor.team, device_id)
    form = StripForm(posted(request), initial={"device": device.id})
    words = _("All its parts come out. One that stands in a set is pulled first.")
    return _filed(
        request, actor, form, "strip_device", device.mark, _("Take it apart"), words, "device"
    )


class ReplaceForm(ActForm):
    """One part comes out, and another of its role goes in."""

    at_field = {"part": "put_in", "parts": "put_in", "part.kind": "put_in"}
    device = forms.UUIDField(widget=forms.HiddenInput)
    out = forms.ChoiceField(label=gettext_lazy("What comes out"))
    becomes = forms.ChoiceField(
        label=gettext_lazy("It is"),
        initial=PartState.BROKEN.value,
        choices=[
            (one.value, one.label)
            for one in (PartState.BROKEN, PartState.SPENT, PartState.INSPECT, PartState.STOCK,
                        PartState.LOST)
        ],
    )  # fmt: skip
    put_in = forms.ChoiceField(label=gettext_lazy("What goes in"))

    def __init__(self, *args: Any, actor: Actor, parts: list[PartInDevice], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._team = actor.team
        roles = {one.role for one in parts}
        offered = [kind for kind in part_kinds(actor.team) if kind.role in roles]
        inside = [(str(one.id), _part_words(one)) for one in parts]
        sent = str(self.data.get("out", ""))
        if sent and sent not in dict(inside):  # pressed twice: the act says what became of it
            inside.append((sent, _("A part that is not in it now")))
        self.fields["out"].choices = [unchosen(), *inside]  # type: ignore[attr-defined]
        self.fields["put_in"].choices = [  # type: ignore[attr-defined]
            unchosen(),
            *((f"new:{one.id}", _("New: %(kind)s") % {"kind": one.name}) for one in offered),
            *((f"stock:{one.id}", _("From stock: %(kind)s") % {"kind": one.name})
              for one in offered),
        ]  # fmt: skip

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        source, _colon, kind = said.get("put_in", "").partition(":")
        if source == "stock":
            there = fit_parts(self._team, UUID(kind), 1)
            if not there:
                self.add_error("put_in", _("None of this kind lies in stock."))
            else:
                said["taken"] = there[0]
        return said

    def body(self) -> dict[str, Any]:
        said = super().body()
        kind = said.pop("put_in").partition(":")[2]
        part = {"kind": kind, "part": said.pop("taken", None) or _fresh(self.cleaned_data["act"])}
        return said | {"part": part}


def _fresh(act: UUID) -> str:
    """The new part's id from the act's, so that a form sent twice says the same."""
    return str(uuid5(act, "part"))


def _part_words(one: PartInDevice) -> str:
    return " · ".join(filter(None, [label_of("part_role", one.role), one.kind, one.mark]))


@team_page(LEADS, "GET", "POST")
def replace(request: HttpRequest, actor: Actor, device_id: UUID) -> HttpResponse:
    """Replace a part, also while the device stands in a set: the act replace_part."""
    device = access_device(actor.team, device_id)
    parts = parts_of(actor.team, [device.id])
    chosen = {"device": device.id, "out": request.GET.get("out", "")}
    form = ReplaceForm(posted(request), actor=actor, parts=parts, initial=chosen)
    words = _("Also while it stands in a set. What comes out keeps its history.")
    return _filed(
        request, actor, form, "replace_part", device.mark, _("Replace a part"), words, "device"
    )


class TagForm(ActForm):
    """The tag that a device or a part bears from now on."""

    tag = forms.CharField(
        label=gettext_lazy("Tag"),
        required=False,
        max_length=60,
        help_text=gettext_lazy("Empty: the tag comes off."),
    )

    def __init__(self, *args: Any, thing: dict[str, UUID], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._thing = thing

    def body(self) -> dict[str, Any]:
        return super().body() | self._thing


@team_page(LEADS, "GET", "POST")
def tag_device(request: HttpRequest, actor: Actor, device_id: UUID) -> HttpResponse:
    """Put a tag on a device, or take it off: the act tag_gear."""
    device = access_device(actor.team, device_id)
    form = TagForm(posted(request), thing={"device": device.id})
    return _filed(request, actor, form, "tag_gear", device.mark, _("Tag it"), "", "device")


@team_page(LEADS, "GET", "POST")
def tag_part(request: HttpRequest, actor: Actor, part_id: UUID) -> HttpResponse:
    """Put a tag on a part, or take it off: the act tag_gear."""
    part = access_part(actor.team, part_id)
    form = TagForm(posted(request), thing={"part": part.id})
    name = part.mark or str(part.kind.name)
    return _filed(request, actor, form, "tag_gear", name, _("Tag it"), "", "part")


def _filed(
    request: HttpRequest, actor: Actor, form: ActForm, act: str, name: str, deed: str, words: str,
    back: str,
) -> HttpResponse:  # fmt: skip
    """Send the form as its act, and go back to the thing; or show the form."""
    thing = request.resolver_match.kwargs[f"{back}_id"]  # type: ignore[union-attr]
    if request.method == "POST" and form.file(actor, act):
        messages.success(request, _("It is written down."))
        return redirect(back, actor.team_slug, thing)
    shown = {"form": form, "name": name, "deed": deed, "words": words, "back_to": back,
             "thing": thing}  # fmt: skip
    return render(request, "mend_gear.html", shown, status=422 if form.errors else 200)
