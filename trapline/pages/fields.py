"""Fields of our own: a day, a quantity in the person's units, a moment in the line's zone."""

from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from trapline.ground.units_shown import Quantity, from_si, to_si, unit_of


class DayField(forms.DateField):
    """A calendar day. The browser's own field takes and gives ISO 8601 in every language."""

    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class QuantityField(forms.FloatField):
    """A number typed in the person's unit; its value is SI. `units` is set by the form."""

    def __init__(self, quantity: Quantity, **kwargs: Any) -> None:
        self.quantity: Quantity = quantity
        self.units = "metric"
        if quantity != "temperature":
            kwargs.setdefault("min_value", 0)
        super().__init__(**kwargs)
        self.widget.attrs.update(inputmode="decimal", step="any", autocomplete="off")

    @property
    def unit(self) -> str:
        return unit_of(self.quantity, self.units).symbol

    def clean(self, value: Any) -> float | None:
        typed = super().clean(value)
        return None if typed is None else to_si(typed, self.quantity, self.units)

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, float):  # an initial value in SI; what was typed is text
            unit = unit_of(self.quantity, self.units)
            return f"{round(from_si(value, self.quantity, self.units), unit.decimals + 1):g}"
        return value


class MomentField(forms.Field):
    """Date and time on the clock of `zone`, given as an instant in UTC. Empty: None, for now.

    A clock time that came twice is taken as the later one, never in the user's favour.
    """

    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
    default_error_messages = {
        "shape": _("Give date and time, for example 2026-01-05T09:12."),
        "skipped": _("The clock went forward over this time that day. Give one before or after."),
    }

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.zone = ZoneInfo("UTC")

    def to_python(self, value: Any) -> datetime | None:
        if value in self.empty_values:
            return None
        try:
            wall = datetime.fromisoformat(str(value).strip())
        except ValueError:
            raise ValidationError(self.error_messages["shape"], code="shape") from None
        if wall.tzinfo is not None:
            return wall.astimezone(UTC)
        at = wall.replace(tzinfo=self.zone, fold=1).astimezone(UTC)
        if at.astimezone(self.zone).replace(tzinfo=None) != wall:
            raise ValidationError(self.error_messages["skipped"], code="skipped")
        return at

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, datetime):
            return value.astimezone(self.zone).replace(tzinfo=None)
        return value


class YesNoUnknown(forms.TypedChoiceField):
    """Yes, no, or not said (None)."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            choices=[("", _("Not said")), ("yes", _("Yes")), ("no", _("No"))],
            coerce=lambda value: value == "yes",
            empty_value=None,
            required=False,
            widget=forms.RadioSelect,
            **kwargs,
        )

    def prepare_value(self, value: Any) -> Any:
        return {True: "yes", False: "no", None: ""}.get(value, value)


def on_the_clock(form: forms.BaseForm, tz: str) -> None:
    """Let every moment of a form be read on the clock of a zone, and its label say so."""
    for field in form.fields.values():
        if isinstance(field, MomentField):
            field.zone = ZoneInfo(tz)
            field.label = gettext("%(label)s, on the clock of %(zone)s") % {
                "label": field.label, "zone": tz,
            }  # fmt: skip
