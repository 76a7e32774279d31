"""What if: which sets turn in an altered world, when, and the least work that mends it."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.binding.matters import VersionRules
from trapline.ground.clock import now
from trapline.ground.errors import Problem, Refused
from trapline.ground.units_shown import shown
from trapline.ground.words import sentence
from trapline.land.selectors import permissions
from trapline.lines.selectors import zone_of_team
from trapline.pages.fields import MomentField, QuantityField
from trapline.pages.forms import PlainForm, person_units, posted
from trapline.pages.guard import LEADS, team_page
from trapline.people.rights import Actor
from trapline.people.selectors import members_in_office
from trapline.plans.mending import Deed
from trapline.plans.what_if import Answer, SetTurns, Supposed, tonight, what_if
from trapline.rulebook.models import Rule
from trapline.rulebook.schema import Document, read_text
from trapline.rulebook.selectors import species_cards
from trapline.standing.selectors import targets_standing
from trapline.wording.finding_words import species_of, told
from trapline.wording.rule_words import rule_sentence

MOST = 200


class WhatIfForm(PlainForm):
    """What is supposed. Each part may be left out, not all."""

    closes = forms.MultipleChoiceField(
        label=gettext_lazy("The season closes for"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    snow_m = QuantityField("depth", label=gettext_lazy("So much snow falls"), required=False)
    water_m = QuantityField(
        "depth",
        label=gettext_lazy("The water drops by"),
        required=False,
        min_value=None,
        help_text=gettext_lazy("With a minus sign: it rises."),
    )
    away = forms.MultipleChoiceField(
        label=gettext_lazy("Away"), required=False, widget=forms.CheckboxSelectMultiple
    )
    lapsed = forms.MultipleChoiceField(
        label=gettext_lazy("Leave that lapses"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    file = forms.FileField(
        label=gettext_lazy("A rulebook draft comes into force: its file"), required=False
    )
    text = forms.CharField(
        label=gettext_lazy("Or the draft’s text"),
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 4, "spellcheck": "false"}),
    )
    at = MomentField(
        label=gettext_lazy("From when"),
        required=False,
        help_text=gettext_lazy("Empty: now, or tonight where a season closes."),
    )

    def __init__(self, *args: Any, actor: Actor, moment: datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.moment = moment
        self.draft: Document | None = None
        self.problems: list[tuple[str, str]] = []
        self.species = {one.code: one.name for one in species_cards(actor.team)}
        self.tz = zone_of_team(actor.team)
        at = self.fields["at"]
        assert isinstance(at, MomentField)
        at.zone = ZoneInfo(self.tz)
        at.label = _("From when, on the clock of %(zone)s") % {"zone": self.tz}
        today = moment.astimezone(at.zone).date()
        until = _("until %s")
        choices = {
            "closes": targets_standing(actor.team),
            "away": [(str(one.id), one.name) for one in members_in_office(actor.team)],
            "lapsed": [
                (
                    str(one.id),
                    " · ".join((one.name, one.holder, until % date_format(one.valid_until))),
                )
                for one in permissions(actor.team, None)
                if one.valid_until >= today and one.withdrawn_on is None
            ],
        }
        for name, known in choices.items():
            self.fields[name].choices = known  # type: ignore[attr-defined]
            if not known:
                del self.fields[name]

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        file = said.get("file")
        raw = file.read() if file else said.get("text", "").encode()
        if raw.strip():
            self._read(raw)
        if not self.errors and self.supposed().nothing:
            self.show(Problem("", "nothing_supposed"))
        return said

    def _read(self, raw: bytes) -> None:
        self.data = {**self.data, "text": raw.decode("utf-8", "replace")}  # to be mended there
        try:
            self.draft = read_text(raw)
        except Refused as error:
            self.problems = [(one.field, sentence(one)) for one in error.problems]
            self.add_error("text", _("The draft cannot be read; see what is wrong with it above."))

    def said(self, units: str) -> list[str]:
        """What is supposed, in words, as the answer repeats it."""
        told = self.cleaned_data

        def named(field: str) -> str:
            known = dict(self.fields[field].choices) if field in self.fields else {}  # type: ignore[attr-defined]
            return ", ".join(str(known[one]) for one in told.get(field) or ())

        snow, water = told.get("snow_m") or 0.0, told.get("water_m") or 0.0
        found = [
            _("The season closes for %s") % named("closes") if told.get("closes") else "",
            _("%s of snow falls") % shown(snow, "depth", units) if snow else "",
            _("The water drops by %s") % shown(water, "depth", units) if water > 0 else "",
            _("The water rises by %s") % shown(-water, "depth", units) if water < 0 else "",
            _("Away: %s") % named("away") if told.get("away") else "",
            _("Leave lapses: %s") % named("lapsed") if told.get("lapsed") else "",
            _("In force: %s") % self.draft.title if self.draft is not None else "",
        ]
        return [one for one in found if one]

    def supposed(self) -> Supposed:
        said = self.cleaned_data
        closes = frozenset(said.get("closes") or ())
        at = said.get("at") or (tonight(self.moment, self.tz) if closes else self.moment)
        return Supposed(
            moment=at,
            closes=closes,
            snow_m=said.get("snow_m") or 0.0,
            water_m=-(said.get("water_m") or 0.0),
            away=frozenset(map(UUID, said.get("away") or ())),
            lapsed=frozenset(map(UUID, said.get("lapsed") or ())),
            draft=self.draft,
        )


@team_page(LEADS, "GET", "POST")
def what_if_page(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Nothing is written. Five statements beside the guard's for the form's lists; three more to

    answer, and what plans.what_if says of drafts and of people who are away.
    """
    units, moment = person_units(request.user), now()
    sent = posted(request)
    form = WhatIfForm(sent, request.FILES or None, actor=actor, moment=moment, units=units)
    page: dict[str, Any] = {"form": form, "moment": moment, "tz": form.tz, "most": MOST}
    if sent is not None and form.is_valid():
        found = what_if(actor.team, form.supposed())
        page |= {
            "found": found,
            "said": form.said(units),
            "rows": [_row(one, found.rules, form.species, units) for one in found.sets[:MOST]],
            "covers": [(one.name, _labels(found, one.sets)) for one in found.covers],
            "alone": _labels(found, found.alone),
            "ahead": found.moment > moment,
        }
    return render(request, "what_if.html", page, status=422 if form.errors else 200)


def _labels(found: Answer, sets: tuple[UUID, ...]) -> list[str]:
    return sorted(row.place.label for row in found.sets if row.place.set in sets)


def _row(
    row: SetTurns, rules: VersionRules | None, species: dict[str, str], units: str
) -> dict[str, Any]:
    return {
        "place": row.place,
        "hows": row.hows,
        "turns": [
            {
                "one": one.one,
                "deed": one.deed,
                "told": told(
                    one.one.code, one.one.discriminator, one.one.numbers, units=units,
                    species=species.get(species_of(one.one.discriminator, one.one.numbers)),
                ),
                "rule": _rule_words(one.one.rule, rules, units),
            }
            for one in row.turns
        ],
        "deeds": [(deed, _amount(deed, row.amount_m, units)) for deed in row.deeds],
        "due_at": row.due_at,
    }  # fmt: skip


def _amount(deed: Deed, metres: float | None, units: str) -> str:
    """By how much, where that is what the deed is about."""
    if metres is None or deed not in (Deed.REHANG, Deed.DEEPEN):
        return ""
    size = {"size": shown(abs(metres), "depth", units)}
    if deed == Deed.DEEPEN:
        return _("by about %(size)s: measure here") % size
    if metres < 0:
        return _("about %(size)s lower: measure here") % size
    return _("about %(size)s higher: measure here") % size


def _rule_words(rule: UUID | None, rules: VersionRules | None, units: str) -> str:
    """The rule's code and what it says; it may be a draft's, which no table has."""
    if rule is None or rules is None or rule not in rules.ids:
        return ""
    number = rules.ids.index(rule)
    said = Rule(matter=rules.matters[number], form=rules.forms[number], params=rules.params[number])
    return f"{rules.codes[number]}: {rule_sentence(said, units)}"
