"""Filing a report: choose, look through what balances and what is open, sign; the mapping."""

from datetime import date
from typing import Any

import yaml
from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.duties.models import OPEN, Duty, Kind
from trapline.ground.clock import now
from trapline.ground.errors import NotYours, Problem
from trapline.ground.ids import new_id
from trapline.lines.selectors import zone_of_team
from trapline.pages.fields import DayField
from trapline.pages.forms import ActForm, PlainForm, posted, unchosen
from trapline.pages.guard import ANYONE_IN_TEAM, MANAGES, team_page
from trapline.pages.templatetags.lineward import due_words
from trapline.pages.today import only_own
from trapline.people.models import Licence
from trapline.people.rights import Actor
from trapline.reports.filed import FormShown, filings_of, form_of, forms_of, newest_of
from trapline.reports.form import VALUES, Column
from trapline.reports.papers.pdf import shown
from trapline.reports.period import Period
from trapline.reports.reconcile import Item, reconcile
from trapline.reports.snapshot import freeze
from trapline.wording.report_words import BALANCE_WORDS, COLUMN_WORDS

PREVIEWED = 200


class ChooseForm(PlainForm):
    """Which report: a form, a licence, its days."""

    form = forms.ChoiceField(label=gettext_lazy("Form"))
    licence = forms.ChoiceField(label=gettext_lazy("Licence"))
    first = DayField(label=gettext_lazy("First day"))
    last = DayField(label=gettext_lazy("Last day"))

    def __init__(
        self, *args: Any, known: list[FormShown], licences: list[Licence], **more: Any
    ) -> None:
        super().__init__(*args, **more)
        named = [(one.form.code, one.form.title) for one in known]
        self.fields["form"].choices = [unchosen(), *named]  # type: ignore[attr-defined]
        borne = [(str(one.id), f"{one.number} · {one.holder}") for one in licences]
        self.fields["licence"].choices = [unchosen(), *borne]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        if "first" in said and "last" in said and said["last"] < said["first"]:
            self.show(Problem("last", "period_backwards"))
        return said


class SignForm(ActForm):
    """The signer's name, a note on what is open, and what was chosen."""

    form = forms.CharField(widget=forms.HiddenInput)
    licence = forms.UUIDField(widget=forms.HiddenInput)
    first = forms.DateField(widget=forms.HiddenInput)
    last = forms.DateField(widget=forms.HiddenInput)
    seen = forms.CharField(widget=forms.HiddenInput)
    amends = forms.UUIDField(widget=forms.HiddenInput, required=False)
    duty = forms.ChoiceField(label=gettext_lazy("The duty that this does"), required=False)
    note = forms.CharField(
        label=gettext_lazy("What explains what is open"), required=False,
        widget=forms.Textarea(attrs={"rows": 3}), max_length=2000,
    )  # fmt: skip
    signed = forms.CharField(label=gettext_lazy("Your name, as you sign"), max_length=200)

    def __init__(self, *args: Any, duties: list[Duty], tz: str, **more: Any) -> None:
        super().__init__(*args, **more)
        choices = [
            (str(one.id), f"{one.get_kind_display()} {due_words(one.due_at, tz)} · {one.asked}")
            for one in duties
        ]
        self.fields["duty"].choices = [("", _("None")), *choices]  # type: ignore[attr-defined]
        if not choices:
            del self.fields["duty"]

    def body(self) -> dict[str, Any]:
        said = super().body()
        return said | {"filing": self.cleaned_data["act"], "duty": said.get("duty") or None}


@team_page(ANYONE_IN_TEAM)
def filed(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Reports that were filed, and the forms. A member sees those of their own licences."""
    told = {"filings": filings_of(actor.team, only_own(actor)), "forms": forms_of(actor.team)}
    return render(request, "filed.html", told)


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def file_report(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Choose a report, look it through, file it: the act file_report."""
    licences = _licences(actor)
    known = forms_of(actor.team)
    said = request.POST if request.method == "POST" else request.GET
    choose = ChooseForm(said or None, known=known, licences=licences)
    if not said or not choose.is_valid():
        status = 200 if not said and request.method == "GET" else 422
        return render(request, "file_report.html", {"choose": choose}, status=status)
    told = _told(actor, choose.cleaned_data, known, licences)
    sign = SignForm(
        posted(request),
        initial=told.pop("initial"),
        duties=told.pop("duties"),
        tz=zone_of_team(actor.team),
    )
    if request.method == "POST" and sign.file(actor, "file_report"):
        messages.success(request, _("The report is filed and frozen."))
        return redirect("filing", team=actor.team_slug, filing_id=sign.cleaned_data["act"])
    told |= {"choose": choose, "form": sign}
    return render(request, "file_report.html", told, status=422 if sign.is_bound else 200)


def _licences(actor: Actor) -> list[Licence]:
    """Those whose report the actor may file: a manager all, others their own."""
    found = Licence.objects.filter(team_id=actor.team).select_related("holder").order_by("number")
    return list(found if actor.manages else found.filter(holder_id=actor.member))


def _told(
    actor: Actor, said: dict[str, Any], known: list[FormShown], licences: list[Licence]
) -> dict[str, Any]:
    (form,) = (one.form for one in known if one.form.code == said["form"])
    (licence,) = (one for one in licences if str(one.id) == said["licence"])
    first: date = said["first"]
    last: date = said["last"]
    frozen = freeze(actor.team, form, licence, first, last)
    balance = reconcile(actor.team, form, licence, Period(first, last), frozen.made, now())
    before = newest_of(actor.team, licence.id, form.code, first, last)
    asked = Duty.objects.filter(licence=licence, kind=Kind.FILE, state__in=OPEN)
    return {
        "report": form,
        "licence": licence,
        "heads": [column.head for column in form.columns],
        "rows": [[shown(cell) for cell in row.cells] for row in frozen.made.rows[:PREVIEWED]],
        "more": max(len(frozen.made.rows) - PREVIEWED, 0),
        "totals": frozen.made.totals,
        "balance": balance,
        "items": [(_item(one), one) for one in balance.items],
        "before": before,
        "duties": list(asked.exclude(due_at=None).order_by("due_at")),
        "initial": {
            "form": form.code, "licence": licence.id, "first": first, "last": last,
            "seen": frozen.sha256, "amends": before.id if before else None, "act": new_id(),
        },
    }  # fmt: skip


def _item(item: Item) -> str:
    return str(BALANCE_WORDS[item.code])


class MappingForm(ActForm):
    """A form's columns: which value, under which heading, in which order, by which codes."""

    at_field = {"form": "title"}
    title = forms.CharField(label=gettext_lazy("Title"), max_length=200)

    def __init__(self, *args: Any, on: FormShown, **more: Any) -> None:
        super().__init__(*args, **more)
        self.on = on
        self.initial.setdefault("title", on.form.title)
        values = [("", _("None"))] + [(name, COLUMN_WORDS[name]) for name in VALUES[on.form.rows]]
        spare: list[Column | None] = [None, None]
        for at, column in enumerate([*on.form.columns, *spare]):
            self._column(at, column, values)

    def _column(self, at: int, column: Column | None, values: list[Any]) -> None:
        codes = (column.codes or {}) if column else {}
        told = "\n".join(f"{value} = {code}" for value, code in codes.items())
        place = {"n": at + 1}
        self.fields |= {
            f"value-{at}": forms.ChoiceField(
                label=_("Column %(n)s: what it holds") % place, choices=values, required=False
            ),
            f"head-{at}": forms.CharField(
                label=_("Column %(n)s: heading") % place, max_length=200, required=False
            ),
            f"order-{at}": forms.IntegerField(
                label=_("Column %(n)s: place in the order") % place, required=False, min_value=1
            ),
            f"codes-{at}": forms.CharField(
                label=_("Column %(n)s: codes, one a line as value = code") % place,
                required=False, widget=forms.Textarea(attrs={"rows": 2, "spellcheck": "false"}),
            ),
        }  # fmt: skip
        told_first: dict[str, Any] = {
            f"value-{at}": column.value if column else "",
            f"head-{at}": column.head if column else "",
            f"order-{at}": at + 1 if column else None,
            f"codes-{at}": told,
        }
        self.initial.update(told_first)

    def rows(self) -> list[list[Any]]:
        """The fields of each column together."""
        count = len(self.on.form.columns) + 2
        names = ("value", "head", "order", "codes")
        return [[self[f"{name}-{at}"] for name in names] for at in range(count)]

    def body(self) -> dict[str, Any]:
        said = self.on.form.model_dump(mode="json", by_alias=True, exclude_none=True)
        told: list[tuple[int, dict[str, Any]]] = []
        for at in range(len(self.on.form.columns) + 2):
            value = self.cleaned_data[f"value-{at}"]
            if value:
                order = self.cleaned_data[f"order-{at}"] or 100 + at
                told.append((order, self._said(at, value, said["columns"])))
        said["columns"] = [column for _order, column in sorted(told, key=lambda one: one[0])]
        said["title"] = self.cleaned_data["title"]
        return {"form": yaml.safe_dump(said, sort_keys=False, allow_unicode=True)}

    def _said(self, at: int, value: str, before: list[dict[str, Any]]) -> dict[str, Any]:
        head = self.cleaned_data[f"head-{at}"].strip() or str(COLUMN_WORDS[value])
        column: dict[str, Any] = {"head": head, "value": value}
        if at < len(before) and "as" in before[at]:
            column["as"] = before[at]["as"]
        pairs = [
            [part.strip() for part in line.split("=", 1)]
            for line in self.cleaned_data[f"codes-{at}"].splitlines()
            if "=" in line
        ]
        return column | ({"codes": dict(pairs)} if pairs else {})


@team_page(MANAGES, "GET", "POST")
def report_form(request: HttpRequest, actor: Actor, code: str) -> HttpResponse:
    """The mapping of one form: the act take_report_form."""
    on = form_of(actor.team, code)
    if on is None:
        raise NotYours
    form = MappingForm(posted(request), on=on)
    if request.method == "POST" and form.file(actor, "take_report_form"):
        messages.success(request, _("The form is taken. What was filed keeps its own."))
        return redirect("filed", team=actor.team_slug)
    told = {"form": form, "report": on.form, "number": on.number}
    return render(request, "report_form.html", told, status=422 if form.is_bound else 200)
