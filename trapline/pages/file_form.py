"""A form that takes a file or its text, and keeps the text on the page so that it can be mended."""

from typing import Any, cast

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.errors import Refused
from trapline.ground.files import MOST_BYTES
from trapline.ground.words import sentence
from trapline.pages.forms import PlainForm

# What of a file is kept on the page. A longer one is chosen again: a page takes 2 MB at most.
MOST_KEPT = 512 * 1024


class FileForm(PlainForm):
    """A file, or its text. `taken` is asked to read it and may raise Refused."""

    file = forms.FileField(
        label=gettext_lazy("File (CSV)"),
        required=False,
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}),
    )
    text = forms.CharField(
        label=gettext_lazy("Or its text"),
        required=False,
        strip=False,
        max_length=MOST_KEPT,
        help_text=gettext_lazy("After a dry run the file stands here, so that it can be mended."),
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false"}),
    )

    def taken(self, name: str, raw: bytes) -> None:
        """Read the file (or, with an empty name, its text)."""
        raise NotImplementedError

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
                self.taken("", text.encode())
            else:
                raw = file.read(MOST_BYTES + 1)
                self._keep(raw)
                self.taken(str(file.name), raw)
        except Refused as error:
            for one in error.problems:
                self.add_error("text" if file is None else "file", sentence(one))

    def _keep(self, raw: bytes) -> None:
        """Put the file's text on the page, where it can be mended, if it is short and UTF-8."""
        text = ""
        if len(raw) <= MOST_KEPT and b"\0" not in raw:
            try:
                text = raw.decode("utf-8-sig")
            except UnicodeDecodeError:
                text = ""
        sent = cast(QueryDict, self.data).copy()
        sent["text"] = text
        self.data = sent

    def sent(self) -> list[tuple[str, str]]:
        """Every field but the file as it was sent, so that the next step can send it on."""
        names = [name for name in self.fields if name != "file"]
        data = cast(QueryDict, self.data)
        return [(name, text) for name in names for text in data.getlist(name)]
