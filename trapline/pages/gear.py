"""Gear: kinds, devices and what they are made of, the stock of parts; building devices."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.gear.models import KindPart
from trapline.gear.selectors import KindShown, device_kinds, part_kinds
from trapline.ground.errors import Held, NeedsReview, NotYours, Problem, Refused
from trapline.ground.ids import new_id
from trapline.pages.forms import ActForm, posted
from trapline.pages.guard import ANYONE_IN_TEAM, LEADS, team_page
from trapline.pages.today import only_own
from trapline.people.rights import Actor
from trapline.record.desk import submit
from trapline.standing.selectors import Lying, Stock, devices, fit_parts, lying, stock
from trapline.wording.vocabulary import label_of

MOST, MOST_MARKS = 300, 50
IN_STOCK = ("stock", "inspect")


@team_page(ANYONE_IN_TEAM)
def gear(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Five statements beside the guard's: devices, stock, what lies where, kinds, their parts."""
    found = devices(actor.team, only_own(actor), MOST)
    shown = {
        "devices": found,
        "total": found[0].total if found else 0,
        "stock": _stock(stock(actor.team)),
        "places": _places(lying(actor.team)) if actor.leads else [],
        "kinds": device_kinds(actor.team),
        "most": MOST,
    }
    return render(request, "gear.html", shown)


def _places(rows: list[Lying]) -> list[tuple[str, list[Lying]]]:
    """The places by name, each with what lies there; last, what nobody has said a place of."""
    places: dict[str, list[Lying]] = {}
    for row in rows:
        places.setdefault(row.place, []).append(row)
    return sorted(places.items(), key=lambda one: (not one[0], one[0].casefold()))


def _stock(rows: list[Stock]) -> list[dict[str, Any]]:
    """One row a kind of part, with its counts by state."""
    kinds: dict[UUID, dict[str, Any]] = {}
    for row in rows:
        kind = kinds.setdefault(
            row.kind_id,
            {
                "role": row.role, "name": row.kind, "kind_id": row.kind_id, "gone": 0,
                "fewest": row.fewest,
            },
        )  # fmt: skip
        kind[row.state] = row.count
        kind["gone"] += row.count if row.state in ("broken", "lost", "retired") else 0
    for one in kinds.values():
        one["low"] = one["fewest"] is not None and one.get("stock", 0) < one["fewest"]
    return list(kinds.values())


class BuildForm(ActForm):
    """Devices of one kind: one for each mark, with the same choice of parts."""

    at_field = {"mark": "marks"}
    marks = forms.CharField(
        label=gettext_lazy("Marks, one a line"),
        help_text=gettext_lazy("As stamped or painted on the device. Each line makes one device."),
        widget=forms.Textarea(attrs={"rows": 4, "spellcheck": "false"}),
    )

    def __init__(self, *args: Any, kind: KindShown, choices: dict[str, Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        for part in kind.parts:
            self.fields[f"part-{part.role}"] = forms.ChoiceField(
                label=f"{label_of('part_role', part.role)} × {part.count}",
                choices=choices[part.role],
                required=part.needed,
            )

    def clean_marks(self) -> list[str]:
        marks = [line.strip() for line in self.cleaned_data["marks"].splitlines() if line.strip()]
        if len(marks) > MOST_MARKS:
            raise forms.ValidationError(_("At most %(n)s at a time.") % {"n": MOST_MARKS})
        if len(set(marks)) < len(marks):
            raise forms.ValidationError(_("A mark stands here twice. Each device has its own."))
        return marks

    def build(self, actor: Actor) -> int:
        """Build all or none; gives how many. Problems stand on the form."""
        if not self.is_valid():
            return 0
        marks = self.cleaned_data["marks"]
        try:
            with transaction.atomic():
                for mark, parts in zip(marks, self._parts(actor, len(marks)), strict=True):
                    body = {"device": new_id(), "kind": self.kind.kind.id, "mark": mark}
                    submit(actor, "build_device", body | {"parts": parts})
        except Refused as error:
            self.show(*error.problems)
        except NeedsReview as error:
            self.show(error.problem)
        except Held as error:
            self.show(Problem(error.field, "waits_for"))
        except _TooFew as error:
            self.add_error(error.field, _("Only %(n)s lie in stock.") % {"n": error.there})
        else:
            return len(marks)
        return 0

    def _parts(self, actor: Actor, count: int) -> list[list[dict[str, Any]]]:
        built: list[list[dict[str, Any]]] = [[] for _number in range(count)]
        for part in self.kind.parts:
            name = f"part-{part.role}"
            if not (chosen := self.cleaned_data[name]):
                continue
            source, kind = chosen.split(":")
            need = part.count * count
            taken = fit_parts(actor.team, UUID(kind), need) if source == "stock" else []
            if source == "stock" and len(taken) < need:
                raise _TooFew(name, len(taken))
            for number in range(need):
                said = {"kind": kind} | ({"part": str(taken[number])} if taken else {})
                built[number // part.count].append(said)
        return built


class _TooFew(Exception):
    def __init__(self, field: str, there: int) -> None:
        super().__init__(field)
        self.field, self.there = field, there


def _choices(actor: Actor, parts: list[KindPart]) -> dict[str, list[tuple[str, str]]]:
    """For each role: new parts of each kind, and those that lie in stock."""
    there: dict[UUID, int] = {}
    for row in stock(actor.team):
        if row.state in IN_STOCK:
            there[row.kind_id] = there.get(row.kind_id, 0) + row.count
    offered: dict[str, list[tuple[str, str]]] = {
        part.role: [] if part.needed else [("", _("None"))] for part in parts
    }
    for kind in part_kinds(actor.team):
        if kind.role in offered:
            offered[kind.role].append((f"new:{kind.id}", _("New: %(kind)s") % {"kind": kind.name}))
            if n := there.get(kind.id):
                words = _("From stock, looked over: %(kind)s (%(n)s there)")
                offered[kind.role].append((f"stock:{kind.id}", words % {"kind": kind.name, "n": n}))
    return offered


@team_page(LEADS, "GET", "POST")
def build(request: HttpRequest, actor: Actor, kind_id: UUID) -> HttpResponse:
    """Build devices of a kind: an act build_device for each mark."""
    kind = next((one for one in device_kinds(actor.team) if one.kind.id == kind_id), None)
    if kind is None:
        raise NotYours
    choices = _choices(actor, list(kind.parts))
    form = BuildForm(posted(request), kind=kind, choices=choices)
    if request.method == "POST" and (n := form.build(actor)):
        messages.success(request, _("%(n)s built.") % {"n": n})
        return redirect("gear", team=actor.team_slug)
    shown = {"form": form, "kind": kind, "lacking": [r for r, c in choices.items() if not c]}
    return render(request, "build.html", shown, status=422 if form.errors else 200)
