"""The form of a file of sets, and what the rows do not say themselves."""

from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.gear.selectors import device_kinds
from trapline.lines.formats.draft import Row
from trapline.lines.formats.reading import read_file, read_text
from trapline.lines.words import Placement
from trapline.pages.fields import MomentField
from trapline.pages.file_form import FileForm
from trapline.people.rights import Actor
from trapline.people.selectors import licences, members_in_office
from trapline.record.import_sets import Defaults
from trapline.rulebook.selectors import species_cards


class ImportForm(FileForm):
    """A file, or its text, and what is to be said for rows that do not say it themselves."""

    file = forms.FileField(
        label=gettext_lazy("File (GPX 1.1 or CSV)"),
        required=False,
        widget=forms.FileInput(attrs={"accept": ".gpx,.csv,application/gpx+xml,text/csv"}),
    )
    device_kind = forms.ChoiceField(
        label=gettext_lazy("Devices"),
        required=False,
        help_text=gettext_lazy("Rows that name no device get free ones of this kind, by mark."),
    )
    placement = forms.ChoiceField(label=gettext_lazy("Placement"), required=False)
    responsible = forms.ChoiceField(label=gettext_lazy("Who looks after them"), required=False)
    licence = forms.ChoiceField(label=gettext_lazy("Licence"), required=False)
    targets = forms.MultipleChoiceField(
        label=gettext_lazy("Made for"), required=False, widget=forms.CheckboxSelectMultiple
    )
    at = MomentField(
        label=gettext_lazy("When they were placed"),
        required=False,
        help_text=gettext_lazy("On the line’s clock. Empty: now."),
    )

    def __init__(self, *args: Any, actor: Actor, tz: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rows: list[Row] = []
        self.fields["at"].zone = ZoneInfo(tz)  # type: ignore[attr-defined]
        for name, choices in _lists(actor).items():
            said = [("", _("As each row says")), *choices] if name != "targets" else choices
            self.fields[name].choices = said  # type: ignore[attr-defined]
        self.initial.setdefault("responsible", str(actor.member))

    def taken(self, name: str, raw: bytes) -> None:
        self.rows = read_file(name, raw) if name else read_text(raw.decode())

    def defaults(self, line: UUID) -> Defaults:
        """What the form says for every row that does not say it."""
        said = self.cleaned_data
        return Defaults(
            line=line,
            licence=_key(said["licence"]),
            responsible=_key(said["responsible"]),
            placement=said["placement"] or None,
            targets=tuple(UUID(key) for key in said["targets"]),
            device_kind=_key(said["device_kind"]),
            at=said["at"],
        )


def _key(text: str) -> UUID | None:
    return UUID(text) if text else None


def _lists(actor: Actor) -> dict[str, list[tuple[str, str]]]:
    """What the lists offer. Five statements."""
    return {
        "device_kind": [(str(one.kind.id), one.kind.name) for one in device_kinds(actor.team)],
        "placement": [(str(code), str(words)) for code, words in Placement.choices],
        "responsible": [(str(one.id), one.name) for one in members_in_office(actor.team)],
        "licence": [(str(one.id), f"{one.number} · {one.holder}") for one in licences(actor.team)],
        "targets": [(str(one.id), one.name) for one in species_cards(actor.team)],
    }
