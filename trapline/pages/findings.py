"""Findings: which sets fall short, of what, and what mends it; the device-fit table."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.db.models import TextChoices
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.findings.animals import CODES as ANIMAL_CODES
from trapline.findings.models import Severity
from trapline.findings.selectors import finding as one_finding
from trapline.findings.selectors import open_findings
from trapline.ground.clock import now
from trapline.ground.words_of_findings import FINDING_WORDS
from trapline.pages.forms import ActForm, left_words, person_units, posted
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.pages.today import only_own
from trapline.people.rights import Actor
from trapline.wording.finding_words import told
from trapline.wording.rule_words import rule_sentence

MOST = 300
OF_ANIMALS = frozenset(code for code, _ in ANIMAL_CODES.values())


def rows_of(found: list[Any], units: str) -> list[dict[str, Any]]:
    """Findings with their words, as the templates show them."""
    return [
        {
            "finding": one,
            "told": told(
                one.code, one.discriminator, one.numbers, species=one.species_name, units=units
            ),
            "of_animals": one.code in OF_ANIMALS,
            "rule_says": rule_sentence(one.rule, units) if one.rule else "",
            "tz": one.set.line.tz if one.set else one.numbers.get("tz", "UTC"),
        }
        for one in found
    ]


@team_page(ANYONE_IN_TEAM)
def findings(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Open findings, stop first; a member sees those of their sets. One statement beside the

    guard's. ?severity= and ?code= narrow it.
    """
    severity = _one_of(request.GET.get("severity", ""), Severity)
    code = request.GET.get("code", "")
    found = open_findings(
        actor.team, only_own(actor), most=MOST, severity=severity,
        code=code if code in FINDING_WORDS else "",
    )  # fmt: skip
    rows = rows_of(found, person_units(request.user))
    shown_rows = [
        {"severity": one.value, "label": one.label,
         "rows": [row for row in rows if row["finding"].severity == one.value]}
        for one in Severity
    ]  # fmt: skip
    shown_page = {
        "groups": [group for group in shown_rows if group["rows"]],
        "count": len(rows),
        "most": MOST,
        "moment": now(),
        "severity": severity,
        "severities": Severity,
    }
    return render(request, "findings.html", shown_page)


def _one_of(said: str, choices: type[TextChoices]) -> str:
    return said if said in choices.values else ""


class AcknowledgeForm(ActForm):
    """Why a finding may stand as it is for now."""

    reason = forms.CharField(
        label=gettext_lazy("Why it may stand for now"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("It stays open until the facts close it. Your name stands beside."),
    )

    def __init__(self, *args: Any, finding: UUID, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.finding = finding

    def body(self) -> dict[str, Any]:
        return super().body() | {"finding": self.finding}


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def finding(request: HttpRequest, actor: Actor, finding_id: UUID) -> HttpResponse:
    """One finding with its figures; who leads may acknowledge it: the act acknowledge_finding."""
    found = one_finding(actor.team, finding_id, only_own(actor))
    form = AcknowledgeForm(posted(request), finding=found.id)
    if request.method == "POST" and form.file(actor, "acknowledge_finding"):
        messages.success(request, left_words(form) or _("Your reason stands beside it."))
        return redirect("findings", team=actor.team_slug)
    (row,) = rows_of([found], person_units(request.user))
    page = {"row": row, "finding": found, "form": form, "moment": now()}
    return render(request, "finding.html", page, status=422 if form.errors else 200)
