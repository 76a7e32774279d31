"""Forms about a set: ending it, handing it over, an animal waiting in it."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from trapline.ground.ids import new_id
from trapline.lines.words import Fate
from trapline.pages.forms import ActForm


class EndForm(ActForm):
    """Pull a set, or close it as lost."""

    note = forms.CharField(
        label=_("Note"), required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, *args: Any, set_id: UUID, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.set_id = set_id

    def body(self) -> dict[str, Any]:
        return {"set": self.set_id, "note": self.cleaned_data["note"]}


class HandOverForm(ActForm):
    """Who is responsible from now on."""

    to = forms.ChoiceField(label=_("Who looks after it from now on"))

    def __init__(
        self, *args: Any, set_id: UUID, members: Sequence[tuple[str, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.set_id = set_id
        self.fields["to"].choices = members  # type: ignore[attr-defined]

    def body(self) -> dict[str, Any]:
        return {"set": self.set_id, "to": self.cleaned_data["to"]}


class WaitingForm(ActForm):
    """An animal waits: alive or dead, which, and what whoever comes should know."""

    waiting = forms.UUIDField(widget=forms.HiddenInput)
    alive = forms.TypedChoiceField(
        label=_("Is it alive?"),
        choices=[("yes", _("Alive")), ("no", _("Dead, and not to be moved"))],
        coerce=lambda value: value == "yes",
        widget=forms.RadioSelect,
        initial="yes",
    )
    species = forms.ChoiceField(label=_("Species"), required=False)
    note = forms.CharField(
        label=_("What should they know who come?"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    here_lat = forms.FloatField(
        label=_("Where you stand, latitude"), required=False, min_value=-90, max_value=90
    )
    here_lon = forms.FloatField(
        label=_("Where you stand, longitude"), required=False, min_value=-180, max_value=180
    )

    def __init__(
        self, *args: Any, set_id: UUID, species: Sequence[tuple[str, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.set_id = set_id
        self.initial.setdefault("waiting", new_id())
        self.fields["species"].choices = [("", _("Not known")), *species]  # type: ignore[attr-defined]

    def body(self) -> dict[str, Any]:
        said = self.cleaned_data
        lon, lat = said["here_lon"], said["here_lat"]
        return {
            "waiting": said["waiting"],
            "set": self.set_id,
            "alive": said["alive"],
            "species": said["species"] or None,
            "note": said["note"],
            "position": None if lon is None or lat is None else [lon, lat],
        }


class CloseWaitingForm(ActForm):
    """How an animal's waiting ended."""

    fate = forms.ChoiceField(
        label=_("What became of it"),
        choices=[choice for choice in Fate.choices if choice[0] != Fate.DEAD],
        widget=forms.RadioSelect,
    )
    means = forms.CharField(label=_("By what means"), required=False, max_length=120)
    condition = forms.CharField(label=_("In what condition"), required=False, max_length=120)
    handed_to = forms.CharField(label=_("Handed to"), required=False, max_length=120)
    reference = forms.CharField(label=_("Reference"), required=False, max_length=120)

    def __init__(self, *args: Any, waiting: UUID, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.waiting = waiting

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        needed = {
            Fate.DISPATCHED: ("means", _("Say by what means.")),
            Fate.RELEASED: ("condition", _("Say in what condition it left.")),
            Fate.HANDED: ("handed_to", _("Say to whom.")),
        }
        for fate, (name, sentence) in needed.items():
            if said.get("fate") == fate and not said.get(name):
                self.add_error(name, sentence)
        return said

    def body(self) -> dict[str, Any]:
        return {"waiting": self.waiting, **super().body()}
