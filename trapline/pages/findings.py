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

from trapline.findings.fit import FitRow, fit_of
from trapline.findings.models import FitSource, FitWhat, Severity
from trapline.findings.selectors import finding as one_finding
from trapline.findings.selectors import open_findings
from trapline.gear.models import DeviceClass
from trapline.ground.clock import now
from trapline.ground.units_shown import shown
from trapline.ground.words_of_findings import FINDING_WORDS
from trapline.pages.fields import QuantityField
from trapline.pages.forms import ActForm, left_words, person_units, posted, unchosen
from trapline.pages.guard import ANYONE_IN_TEAM, LEADS, team_of, team_page
from trapline.pages.today import only_own
from trapline.people.rights import Actor
from trapline.wording.finding_words import told
from trapline.wording.rule_words import rule_sentence

MOST = 300


def rows_of(found: list[Any], units: str) -> list[dict[str, Any]]:
    """Findings with their words, as the templates show them."""
    return [
        {
            "finding": one,
            "told": told(
                one.code, one.discriminator, one.numbers, species=one.species_name, units=units
            ),
            "rule_says": rule_sentence(one.rule, units) if one.rule else "",
            "tz": one.set.line.tz if one.set else "UTC",
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


@team_page(ANYONE_IN_TEAM)
def fit(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The device-fit table as the team has it. No statement the second time under a stamp."""
    table = fit_of(actor.team, team_of(request).rule_stamp)
    units = person_units(request.user)
    groups: dict[str, list[dict[str, Any]]] = {}
    for row in sorted(table.values(), key=lambda one: (one.device_class, one.what, one.species)):
        groups.setdefault(row.device_class, []).append({"row": row, "sizes": _sizes(row, units)})
    return render(request, "fit.html", {"groups": groups})


def _sizes(row: FitRow, units: str) -> str:
    quantity: Any = {FitWhat.CABLE: "wire", FitWhat.DEPTH: "depth"}.get(FitWhat(row.what), "size")
    low, high = shown(row.from_m, quantity, units), shown(row.to_m, quantity, units)
    if low and high:
        return low if low == high else f"{low} – {high}"
    if low:
        return _("from %(size)s") % {"size": low}
    return _("up to %(size)s") % {"size": high} if high else _("nothing said")


class FitForm(ActForm):
    """A row of the device-fit table, as the team has it."""

    device_class = forms.ChoiceField(label=gettext_lazy("Device"))
    species = forms.SlugField(
        label=gettext_lazy("Species, by its code in the rulebook"), max_length=50
    )
    what = forms.ChoiceField(label=gettext_lazy("What is said"))
    from_m = QuantityField(label=gettext_lazy("From"), quantity="size", required=False)
    to_m = QuantityField(label=gettext_lazy("To"), quantity="size", required=False)
    source = forms.CharField(
        label=gettext_lazy("Source"),
        required=False,
        max_length=400,
        help_text=gettext_lazy("Where the figure is from. “What we have seen” is a source."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["device_class"].choices = [unchosen(), *DeviceClass.choices]  # type: ignore[attr-defined]
        self.fields["what"].choices = [unchosen(), *FitWhat.choices]  # type: ignore[attr-defined]


@team_page(LEADS, "GET", "POST")
def fit_row(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Say a row of the table anew: the act set_device_fit."""
    form = FitForm(posted(request), units=person_units(request.user))
    if request.method == "POST" and form.file(actor, "set_device_fit"):
        messages.success(request, left_words(form) or _("The row is the team’s own now."))
        return redirect("fit", team=actor.team_slug)
    page = {"form": form, "sources": FitSource}
    return render(request, "fit_row.html", page, status=422 if form.errors else 200)
