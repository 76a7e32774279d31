"""The rules in force, and taking a rulebook in after a dry run."""

import json
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.clock import now
from trapline.ground.errors import NotYours, Problem, Refused
from trapline.ground.words import sentence
from trapline.pages.forms import ActForm, person_units, posted
from trapline.pages.guard import ANYONE_IN_TEAM, MANAGES, team_page
from trapline.people.rights import Actor
from trapline.rulebook.difference import difference
from trapline.rulebook.export import document_of, to_yaml
from trapline.rulebook.models import Matter, Rule
from trapline.rulebook.schema import Document, read_text
from trapline.rulebook.selectors import rules_of, species_cards, version_in_force, versions
from trapline.wording.rule_words import applies_words, rule_sentence
from trapline.wording.vocabulary import label_of


@team_page(ANYONE_IN_TEAM)
def rules(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The rules in force now. Four statements beside the guard's."""
    moment, units = now(), person_units(request.user)
    version = version_in_force(actor.team, moment)
    found = rules_of(version.id) if version is not None else []
    shown = {
        "moment": moment,
        "version": version,
        "matters": _by_matter(found, units),
        "species": species_cards(actor.team),
        "versions": versions(actor.team),
    }
    return render(request, "rules.html", shown)


def _by_matter(found: list[Rule], units: str) -> list[dict[str, Any]]:
    return [
        {
            "name": label_of("matter", matter),
            "rules": [
                {"rule": rule, "says": rule_sentence(rule, units), "applies": applies_words(rule)}
                for rule in found
                if rule.matter == matter
            ],
        }
        for matter in Matter
    ]


@team_page(ANYONE_IN_TEAM)
def rules_file(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The rulebook in force as the file one can take in again."""
    version = version_in_force(actor.team, now())
    if version is None:
        raise NotYours
    answer = HttpResponse(to_yaml(document_of(version)), content_type="application/yaml")
    answer["Content-Disposition"] = f'attachment; filename="rules-{version.number}.yaml"'
    return answer


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
            self.document = read_text(raw)
        except Refused as error:
            self.problems = [(one.field, sentence(one)) for one in error.problems]
            raise forms.ValidationError(_("The rulebook is refused whole.")) from None
        return said


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


@team_page(MANAGES, "GET", "POST")
def take_rules(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Step one: read the file and show what it would change; nothing is written."""
    form = FileForm(posted(request), request.FILES or None)
    shown: dict[str, Any] = {"form": form, "moment": now()}
    if request.method == "POST" and form.is_valid() and form.document is not None:
        plain = json.dumps(form.document.plain(), ensure_ascii=False)
        shown["document"] = form.document
        shown["diff"] = difference(actor.team, form.document)
        shown["take"] = TakeForm(initial={"document": plain})
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
