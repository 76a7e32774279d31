"""The form of a file of sets, and what the rows do not say themselves."""

from typing import Any, cast
from uuid import UUID
from zoneinfo import ZoneInfo

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.gear.selectors import device_kinds
from trapline.ground.errors import Refused
from trapline.ground.files import MOST_BYTES
from trapline.ground.words import sentence
from trapline.lines.formats.draft import Row
from trapline.lines.formats.reading import read_file, read_text
from trapline.lines.words import Placement
from trapline.pages.fields import MomentField
from trapline.pages.forms import PlainForm
from trapline.people.rights import Actor
from trapline.people.selectors import licences, members_in_office
from trapline.record.import_sets import Defaults
from trapline.rulebook.selectors import species_cards

# What of a file is kept on the page. A longer one is chosen again: a page takes 2 MB at most.
MOST_KEPT = 512 * 1024


class ImportForm(PlainForm):
    """A file, or its text, and what is to be said for rows that do not say it themselves."""

    file = forms.FileField(
        label=gettext_lazy("File (GPX 1.1 or CSV)"),
        required=False,
        widget=forms.FileInput(attrs={"accept": ".gpx,.csv,application/gpx+xml,text/csv"}),
    )
    text = forms.CharField(
        label=gettext_lazy("Or its text"),
        required=False,
        strip=False,
        max_length=MOST_KEPT,
        help_text=gettext_lazy("After a dry run the file stands here, so that it can be mended."),
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false"}),
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

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        if "file" not in self.errors and "text" not in self.errors:
            self._read(said.get("file"), said.get("text", ""))
        return said

    def _read(self, file: Any, text: str) -> None:
        if file is None and not text.strip():
            self.add_error("file", _("Choose a file, or paste its text."))
            return
        try:
            if file is None:
                self.rows = read_text(text)
            else:
                raw = file.read(MOST_BYTES + 1)
                self._keep(raw)
                self.rows = read_file(str(file.name), raw)
        except Refused as error:
            for one in error.problems:
                self.add_error("text" if file is None else "file", sentence(one))

    def _keep(self, raw: bytes) -> None:
        """Put the file's text on the page, where it can be mended, if it is short and UTF-8."""
        text = ""
        if len(raw) <= MOST_KEPT and b"\0" not in raw:
            try:
                text = raw.decode()
            except UnicodeDecodeError:
                text = ""
        sent = cast(QueryDict, self.data).copy()
        sent["text"] = text
        self.data = sent

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

    def sent(self) -> list[tuple[str, str]]:
        """Every field but the file as it was sent, so that the next step can send it on."""
        names = [name for name in self.fields if name != "file"]
        data = cast(QueryDict, self.data)
        return [(name, text) for name in names for text in data.getlist(name)]


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
