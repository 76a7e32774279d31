"""The fields in which a rule's parameters are typed, and how they become plain values again.

A time of day is three fields: a clock time, a sun event, and the minutes between. With an event the
clock time is the one that serves on a day without it.
"""

from collections.abc import Callable, Mapping
from typing import Any, Protocol

from django import forms
from django.utils.translation import gettext as _

from trapline.calc.daylight import SUN_EVENTS
from trapline.gear.models import PartRole
from trapline.ground.units_shown import Quantity, from_si, to_si
from trapline.land.models import FeatureKind
from trapline.lines.words import Supervision
from trapline.pages.fields import QuantityField
from trapline.rulebook.models import SampleOf

Cleaned = Mapping[str, Any]


class ExactField(QuantityField):
    """A limit in the person's unit, shown as exactly as it will be read again."""

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, float | int):
            there = from_si(value, self.quantity, self.units)
            written = (f"{there:.{digits}g}" for digits in range(4, 18))
            return next(
                (one for one in written if to_si(float(one), self.quantity, self.units) == value),
                repr(there),
            )
        return value


class Typed(Protocol):
    """One parameter as fields of a form."""

    def fields(self, name: str) -> dict[str, forms.Field]: ...
    def shown(self, name: str, value: Any) -> dict[str, Any]: ...
    def read(self, name: str, said: Cleaned) -> Any: ...


class One:
    """A parameter that is one field."""

    def __init__(self, make: Callable[[], forms.Field]) -> None:
        self.make = make

    def fields(self, name: str) -> dict[str, forms.Field]:
        return {name: self.make()}

    def shown(self, name: str, value: Any) -> dict[str, Any]:
        return {name: value}

    def read(self, name: str, said: Cleaned) -> Any:
        value = said.get(name)
        return None if value in ("", None) else value


class Codes(One):
    """Codes with commas between."""

    def shown(self, name: str, value: Any) -> dict[str, Any]:
        return {name: ", ".join(value)}

    def read(self, name: str, said: Cleaned) -> Any:
        return [one.strip() for one in str(said.get(name) or "").split(",") if one.strip()]


class Table(One):
    """Rows of numbers, one a line: from, to, hours."""

    def shown(self, name: str, value: Any) -> dict[str, Any]:
        rows = (f"{one['from_c']:g} {one['to_c']:g} {one['hours']:g}" for one in value)
        return {name: "\n".join(rows)}

    def read(self, name: str, said: Cleaned) -> Any:
        rows = []
        for line in str(said.get(name) or "").splitlines():
            words = line.replace(",", " ").split()
            rows.append({key: _number(word) for key, word in zip(_ROW, words, strict=False)})
        return [row for row in rows if row]


_ROW = ("from_c", "to_c", "hours")


def _number(word: str) -> Any:
    try:
        return float(word)
    except ValueError:
        return word  # the reader of rulebooks says what is wrong with it


class TimeOfDay:
    """A clock time, or a sun event with minutes before or after it."""

    def __init__(self, label: str) -> None:
        self.label = label

    def fields(self, name: str) -> dict[str, forms.Field]:
        events = {
            "dawn": _("dawn"),
            "sunrise": _("sunrise"),
            "sunset": _("sunset"),
            "dusk": _("dusk"),
        }
        choices = [("", _("no sun event")), *((code, events[code]) for code in SUN_EVENTS)]
        of = {"what": self.label}
        return {
            f"{name}_clock": forms.CharField(
                label=_("%(what)s: clock time, HH:MM") % of, required=False, max_length=5
            ),
            f"{name}_sun": forms.ChoiceField(
                label=_("%(what)s: or a sun event") % of,
                choices=choices,
                required=False,
                help_text=_("The clock time then serves on a day without it."),
            ),
            f"{name}_offset": forms.IntegerField(
                label=_("%(what)s: minutes after the event") % of,
                required=False,
                help_text=_("Below zero: before it."),
            ),
        }

    def shown(self, name: str, value: Any) -> dict[str, Any]:
        if isinstance(value, str):
            return {f"{name}_clock": value}
        return {
            f"{name}_clock": value["otherwise"],
            f"{name}_sun": value["sun"],
            f"{name}_offset": value.get("offset_min", 0),
        }

    def read(self, name: str, said: Cleaned) -> Any:
        clock, sun = said.get(f"{name}_clock") or "", said.get(f"{name}_sun") or ""
        if not sun:
            return clock or None
        offset = said.get(f"{name}_offset") or 0
        return {"sun": sun, "offset_min": offset, "otherwise": clock}


class Window:
    """From a time of day to another."""

    def __init__(self, label: str) -> None:
        self.ends = {
            "from": TimeOfDay(_("%(what)s, from") % {"what": label}),
            "to": TimeOfDay(_("%(what)s, to") % {"what": label}),
        }

    def fields(self, name: str) -> dict[str, forms.Field]:
        return {
            field: made
            for end, time in self.ends.items()
            for field, made in time.fields(f"{name}_{end}").items()
        }

    def shown(self, name: str, value: Any) -> dict[str, Any]:
        return {
            field: made
            for end, time in self.ends.items()
            for field, made in time.shown(f"{name}_{end}", value[end]).items()
        }

    def read(self, name: str, said: Cleaned) -> Any:
        ends = {end: time.read(f"{name}_{end}", said) for end, time in self.ends.items()}
        given = {end: value for end, value in ends.items() if value is not None}
        return given or None


def _of(quantity: Quantity, label: str) -> One:
    return One(lambda: ExactField(quantity, label=label, required=False))


def _float(label: str) -> One:
    return One(lambda: forms.FloatField(label=label, required=False))


def _whole(label: str) -> One:
    return One(lambda: forms.IntegerField(label=label, required=False))


def _text(label: str, help_text: str = "") -> One:
    return One(lambda: forms.CharField(label=label, required=False, help_text=help_text))


def _choice(label: str, choices: list[Any]) -> One:
    return One(
        lambda: forms.ChoiceField(label=label, choices=[("", "—"), *choices], required=False)
    )


def _yes(label: str) -> One:
    return One(lambda: forms.BooleanField(label=label, required=False))


def typed(form: str) -> dict[str, Typed]:
    """How each parameter of a form of rule is typed, by its name."""
    day = _("YYYY-MM-DD") if form == "once" else _("MM-DD, of every year")
    far: Quantity = "distance" if form == "from_feature" else "size"
    return {**_times(day), **_gear(far), **_others()}


def _times(day: str) -> dict[str, Typed]:
    weekdays = [
        _("Monday"), _("Tuesday"), _("Wednesday"), _("Thursday"), _("Friday"), _("Saturday"),
        _("Sunday"),
    ]  # fmt: skip
    return {
        "hours": _float(_("Hours")),
        "status_hours": _float(_("A status at least every so many hours")),
        "visit_hours": _float(_("A visit within so many hours")),
        "days": _whole(_("Days")),
        "count": _whole(_("Animals")),
        "first_weekday": One(
            lambda: forms.TypedChoiceField(
                label=_("The week begins on"),
                choices=list(enumerate(weekdays)),
                coerce=int,
                required=False,
            )
        ),
        "by": TimeOfDay(_("On the last day, by")),
        "between": Window(_("Visits count")),
        "no_tending": Window(_("No tending")),
        "from": TimeOfDay(_("From")),
        "to": TimeOfDay(_("To")),
        "rows": Table(
            lambda: forms.CharField(
                label=_("Hours by air temperature"),
                widget=forms.Textarea(attrs={"rows": 4}),
                required=False,
                help_text=_("One line each: from °C, to °C, hours."),
            )
        ),
        "nothing_below_c": _float(_("Nothing may be set below, °C")),
        "nothing_above_c": _float(_("Nothing may be set above, °C")),
        "opens_on": _text(_("Opens on"), day),
        "opens_by": _text(_("Opens at, HH:MM"), _("Empty: the start of the day.")),
        "closes_on": _text(_("Closes on"), day),
        "closes_by": _text(_("Closes at, HH:MM"), _("Empty: the end of the day.")),
    }


def _gear(far: Quantity) -> dict[str, Typed]:
    return {
        "at_least_m": _of(far, _("At least")),
        "at_most_m": _of("size", _("At most")),
        "from_m": _of("size", _("At least")),
        "to_m": _of("size", _("At most")),
        "at_least_n": _of("load", _("At least")),
        "at_most_n": _of("load", _("At most")),
        "datum": _choice(
            _("Measured from"),
            [
                ("ground", _("the ground")),
                ("surface", _("the first surface beneath")),
                ("water", _("the water")),
            ],
        ),
        "edge": _choice(_("To the loop’s"), [("bottom", _("bottom")), ("top", _("top"))]),
        "role": _choice(_("Part"), list(PartRole.choices)),
        "feature": _choice(_("From"), list(FeatureKind.choices)),
    }


def _others() -> dict[str, Typed]:
    supervised = [one for one in Supervision.choices if one[0]]
    return {
        "within": _choice(_("In a"), [("season", _("season")), ("day", _("day"))]),
        "of": _choice(
            _("What is reported"),
            [
                ("non_target", _("an animal that is no target")),
                ("any_catch", _("every catch")),
                ("harvest", _("the harvest")),
            ],
        ),
        "on": _text(_("By the end of"), _("MM-DD, of every year")),
        "what": _choice(_("With a"), [("seal", _("seal")), ("tag", _("tag"))]),
        "sample": _choice(_("What is handed in"), list(SampleOf.choices)),
        "office": _text(_("To whom it goes")),
        "skills": Codes(
            lambda: forms.CharField(
                label=_("Codes of skills"), required=False, help_text=_("With commas between.")
            )
        ),
        "how": _choice(_("Supervised"), supervised),
        "tend": _yes(_("May tend")),
        "kill": _yes(_("May kill")),
        "carry": _yes(_("May carry")),
        "tag": _yes(_("May tag")),
        "paper": _text(_("With this paper")),
    }
