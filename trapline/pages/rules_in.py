"""Taking a rulebook in after a dry run, from a file, from one changed rule, or with zones drawn."""

import json
from collections.abc import Iterable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.clock import now
from trapline.ground.errors import Problem, Refused
from trapline.ground.words import sentence
from trapline.lines.selectors import zone_of_team
from trapline.pages.forms import ActForm, person_units, posted
from trapline.pages.guard import MANAGES, team_page
from trapline.people.rights import Actor
from trapline.rulebook.difference import Changes, difference
from trapline.rulebook.geojson_zones import zones_of
from trapline.rulebook.matters import Rule as Written
from trapline.rulebook.meaning import params_of
from trapline.rulebook.mending import with_zones
from trapline.rulebook.models import Rule
from trapline.rulebook.schema import Document, read_text
from trapline.rulebook.selectors import version_in_force
from trapline.wording.rule_words import rule_sentence


class FileForm(forms.Form):
    """A rulebook as a file, or pasted."""

    file = forms.FileField(label=gettext_lazy("Rulebook file (YAML or JSON)"), required=False)
    text = forms.CharField(
        label=gettext_lazy("Or its text"),
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 12, "spellcheck": "false"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        self.document: Document | None = None
        self.problems: list[tuple[str, str]] = []

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        file = said.get("file")
        raw = file.read() if file else said.get("text", "").encode()
        if not raw.strip():
            raise forms.ValidationError(_("Choose a file, or paste a rulebook’s text."))
        if file:  # what was in the file stays on the page, so that it can be mended there
            self.data = {**self.data, "text": raw.decode("utf-8", "replace")}
        try:
            self.document = self.read(raw)
        except Refused as error:
            self.problems = [(one.field, sentence(one)) for one in error.problems]
            raise forms.ValidationError(_("The rulebook is refused whole.")) from None
        return said

    def read(self, raw: bytes) -> Document:
        """The document in the file. Raises Refused."""
        return read_text(raw)


class ZonesForm(FileForm):
    """Zones as GeoJSON, put into the rulebook in force."""

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.actor = actor
        self.fields["file"].label = _("GeoJSON file of polygons")

    def read(self, raw: bytes) -> Document:
        zones, moment = zones_of(raw), now()
        version = version_in_force(self.actor.team, moment)
        if version is None:
            raise Refused(Problem("document", "zones_no_rulebook"))
        return with_zones(version, zones, moment)


class TakeForm(ActForm):
    """The document that was shown in the dry run, sent back to be taken in."""

    document = forms.CharField(widget=forms.HiddenInput, max_length=2_000_000)

    def body(self) -> dict[str, Any]:
        return {"document": json.loads(self.cleaned_data["document"])}

    def clean_document(self) -> str:
        text = str(self.cleaned_data["document"])
        try:
            json.loads(text)
        except ValueError:
            self.show(Problem("document", "shape_json_invalid"))
        return text


def dry_run(actor: Actor, document: Document, units: str) -> dict[str, Any]:
    """What a page of a dry run shows; nothing is written. Four statements."""
    plain = json.dumps(document.plain(), ensure_ascii=False)
    diff = difference(actor.team, document)
    return {
        "document": document,
        "diff": diff,
        "rule_changes": _told(diff.rules, units),
        "take": TakeForm(initial={"document": plain}),
        "moment": now(),
        "tz": zone_of_team(actor.team),
    }


def _told(changes: Changes[Any], units: str) -> list[dict[str, Any]]:
    """Each rule that comes, changes or goes, with what it asked and what it asks."""

    def rows(found: Iterable[Any], sign: str, word: str) -> list[dict[str, Any]]:
        return [
            {"sign": sign, "word": word, "code": one.code, "says": _says(one, units)}
            for one in found
        ]

    altered = [
        {
            "sign": "~",
            "word": _("changed"),
            "code": one.now.code,
            "fields": ", ".join(one.fields),
            "was": _says(one.was, units),
            "says": _says(one.now, units),
        }
        for one in changes.changed
    ]
    return [
        *rows(changes.added, "+", _("added")),
        *altered,
        *rows(changes.removed, "–", _("removed")),
    ]


def _says(rule: Written, units: str) -> str:
    return rule_sentence(Rule(matter=rule.matter, form=rule.form, params=params_of(rule)), units)


@team_page(MANAGES, "GET", "POST")
def take_rules(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Step one: read the file and show what it would change; nothing is written."""
    return _read(request, actor, FileForm(posted(request), request.FILES or None), "take_rules")


@team_page(MANAGES, "GET", "POST")
def take_zones(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The same for zones from a GeoJSON file, put into the rulebook in force."""
    form = ZonesForm(posted(request), request.FILES or None, actor=actor)
    return _read(request, actor, form, "take_zones")


def _read(request: HttpRequest, actor: Actor, form: FileForm, name: str) -> HttpResponse:
    shown: dict[str, Any] = {"form": form, "moment": now(), "zones": name == "take_zones"}
    if request.method == "POST" and form.is_valid() and form.document is not None:
        shown |= dry_run(actor, form.document, person_units(request.user))
    return render(request, "take_rules.html", shown, status=422 if form.errors else 200)


@team_page(MANAGES, "POST")
def confirm_rules(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Step two: the act take_rulebook."""
    form = TakeForm(request.POST)
    if form.file(actor, "take_rulebook"):
        messages.success(
            request, _("The rulebook is taken in. Due times are being reckoned again.")
        )
        return redirect("rules", team=actor.team_slug)
    file_form = FileForm({"text": request.POST.get("document", "")})
    shown = {"form": file_form, "refused": form, "moment": now()}
    return render(request, "take_rules.html", shown, status=422)
