"""One rule as a form: what it asks, what it applies to, and when it holds."""

from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.gear.models import Action, DeviceClass
from trapline.ground.errors import Problem
from trapline.land.models import Placement
from trapline.pages.fields import MomentField, on_the_clock
from trapline.pages.forms import PlainForm, prepare
from trapline.pages.rule_fields import Typed, typed
from trapline.rulebook.matters import shapes
from trapline.rulebook.models import Version

LISTS = ("device_classes", "actions", "placements", "zones", "species")
PARAM = "asks_"
_AFTER = ("by", "between", "no_tending")


class RuleForm(PlainForm):
    """The rule of one matter and form. Its parameters' fields are named asks_...; SI inside."""

    code = forms.CharField(
        label=gettext_lazy("Code"),
        max_length=80,
        help_text=gettext_lazy("Letters, digits, - and _. It names the rule over all versions."),
    )
    authority = forms.ChoiceField(label=gettext_lazy("Authority"))
    device_classes = forms.MultipleChoiceField(
        label=gettext_lazy("Device classes"), choices=DeviceClass.choices, required=False,
        widget=forms.CheckboxSelectMultiple, help_text=gettext_lazy("None chosen: all."),
    )  # fmt: skip
    actions = forms.MultipleChoiceField(
        label=gettext_lazy("What the device does"), choices=Action.choices, required=False,
        widget=forms.CheckboxSelectMultiple,
    )  # fmt: skip
    placements = forms.MultipleChoiceField(
        label=gettext_lazy("Placements"), choices=Placement.choices, required=False,
        widget=forms.CheckboxSelectMultiple,
    )  # fmt: skip
    zones = forms.MultipleChoiceField(
        label=gettext_lazy("Zones"), required=False, widget=forms.CheckboxSelectMultiple
    )
    species = forms.MultipleChoiceField(
        label=gettext_lazy("Species"), required=False, widget=forms.CheckboxSelectMultiple
    )
    licence_kinds = forms.CharField(
        label=gettext_lazy("Kinds of licence"), required=False,
        help_text=gettext_lazy("With commas between. Empty: all."),
    )  # fmt: skip
    from_day = forms.CharField(
        label=gettext_lazy("From this day of the year"), required=False, max_length=5,
        help_text=gettext_lazy("MM-DD"),
    )  # fmt: skip
    until_day = forms.CharField(
        label=gettext_lazy("Until this day of the year"), required=False, max_length=5,
        help_text=gettext_lazy("MM-DD; it may lie over the new year."),
    )  # fmt: skip
    holds_from = MomentField(label=gettext_lazy("Holds from"), required=False)
    holds_until = MomentField(label=gettext_lazy("Holds until"), required=False)
    instead_of = forms.MultipleChoiceField(
        label=gettext_lazy("Stands instead of"), required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=gettext_lazy("Wider rules of the same authority."),
    )  # fmt: skip
    source = forms.CharField(
        label=gettext_lazy("Where it is written, or its text"), required=False, strip=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )  # fmt: skip
    since = MomentField(
        label=gettext_lazy("The new version is in force from"), required=False,
        help_text=gettext_lazy("Left empty: now."),
    )  # fmt: skip

    def __init__(
        self, *args: Any, version: Version, matter: str, form: str, was: str | None, tz: str,
        **kwargs: Any,
    ) -> None:  # fmt: skip
        self.asks = _asks(matter, form)
        units = kwargs.get("units", "metric")
        super().__init__(*args, **kwargs)
        self.matter, self.form, self.was = matter, form, was
        for name, one in self.asks.items():
            self.fields.update(one.fields(PARAM + name))
        self.order_fields(["code", "authority", *(n for n in self.fields if n.startswith(PARAM))])
        prepare(self, units)
        on_the_clock(self, tz)
        self._offer(version)
        if was is not None:
            rules = version.document.get("rules", ())
            self.initial = self._shown(next(one for one in rules if one["code"] == was))

    def _offer(self, version: Version) -> None:
        book = version.document
        named = {
            "authority": [(one["code"], one["name"]) for one in book.get("authorities", ())],
            "zones": [(one["code"], one["name"]) for one in book.get("zones", ())],
            "species": [(one["code"], one["name"]) for one in book.get("species", ())],
            "instead_of": [
                (one["code"], one["code"])
                for one in book.get("rules", ())
                if one["matter"] == self.matter and one["code"] != self.was
            ],
        }
        for name, choices in named.items():
            self.fields[name].choices = choices  # type: ignore[attr-defined]
            if not choices and name != "authority":
                del self.fields[name]

    def _shown(self, rule: dict[str, Any]) -> dict[str, Any]:
        """A rule's plain values as the fields show them."""
        shown: dict[str, Any] = {**rule}
        shown["licence_kinds"] = ", ".join(rule.get("licence_kinds", ()))
        for name in ("holds_from", "holds_until"):
            if name in rule:
                shown[name] = datetime.fromisoformat(rule[name]).astimezone(UTC)
        for name, value in rule.get("params", {}).items():
            if value is not None:
                shown |= self.asks[name].shown(PARAM + name, value)
        return shown

    def rule(self) -> dict[str, Any]:
        """The rule as a file has it; what was left empty is left out."""
        said = self.cleaned_data
        kinds = (one.strip() for one in said["licence_kinds"].split(","))
        plain: dict[str, Any] = {
            "code": said["code"], "authority": said["authority"], "matter": self.matter,
            "form": self.form, "params": self._params(),
            "licence_kinds": [one for one in kinds if one],
            **{name: said.get(name) for name in (*LISTS, "instead_of")},
            **{name: said[name].strip() for name in ("from_day", "until_day", "source")},
        }  # fmt: skip
        for name in ("holds_from", "holds_until"):
            if said[name] is not None:
                plain[name] = said[name].isoformat()
        return {name: value for name, value in plain.items() if value or name == "params"}

    def _params(self) -> dict[str, Any]:
        read = {name: one.read(PARAM + name, self.cleaned_data) for name, one in self.asks.items()}
        return {name: value for name, value in read.items() if value is not None}

    def tell(self, problems: Iterable[Problem], at: int) -> None:
        """Show what is wrong with the rulebook: at its field what is of this rule, number `at`."""
        mine = f"rules.{at}."
        for problem in problems:
            inner = problem.field.removeprefix(mine)
            field = self._field(inner) if problem.field.startswith(mine) else None
            self.show(Problem(field or problem.field, problem.code, problem.values))

    def _field(self, inner: str) -> str | None:
        steps = [step for step in inner.split(".") if not step.isdigit()]
        if steps[0] != "params":
            return steps[0]
        for end in range(len(steps), 1, -1):
            begin = PARAM + "_".join(steps[1:end])
            for name in self.fields:
                if name == begin or name.startswith(f"{begin}_"):
                    return name
        return None


def _asks(matter: str, form: str) -> dict[str, Typed]:
    params: Any = shapes()[matter, form].model_fields["params"].annotation
    known = typed(form)
    names = [field.alias or name for name, field in params.model_fields.items()]
    # What the form is named for comes first; times of day, which may be left out, after it.
    return {name: known[name] for name in sorted(names, key=lambda name: name in _AFTER)}


def form_words(matter: str, form: str) -> str:
    """A form of rule by its name, for the list one chooses from."""
    return {
        "within_hours": _("within so many hours"),
        "each_day": _("each calendar day"),
        "every_days": _("every so many days"),
        "each_week": _("each calendar week"),
        "by_temperature": _("by air temperature"),
        "monitored": _("watched by a signal"),
        "none": _("none"),
        "each_year": _("every year"),
        "once": _("from one date to another"),
        "per_person": _("for each person"),
        "per_team": _("for the team"),
        "per_zone": _("for the zone"),
        "forbidden": _("forbidden"),
        "jaw_spread": _("jaw spread"),
        "diameter": _("diameter"),
        "height": _("height"),
        "required": _("required"),
        "strength": _("strength"),
        "not_in_view": _("not in view"),
        "from_feature": _("from a feature of the land"),
        "by_date": _("by a date"),
        "of_catch": _("after the catch"),
        "of_close": _("after the season’s close"),
        "while_learning": _("while learning"),
        "may": _("what one may do"),
        "forbidden_hours": _("forbidden hours"),
    }[form]
