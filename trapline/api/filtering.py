"""What lists are filtered by. Times are ISO 8601 with their offset; from is in, before is out."""

from datetime import UTC, datetime
from typing import Any

from django import forms
from django_filters import rest_framework as filters  # type: ignore[import-untyped]

Backend = filters.DjangoFilterBackend
Choice = filters.ChoiceFilter
Date = filters.DateFilter
Id = filters.UUIDFilter
Text = filters.CharFilter


class _YesOrNo(forms.Field):
    widget = forms.TextInput

    def to_python(self, value: str | None) -> bool | None:
        if value in ("", None):
            return None
        if value not in ("true", "false"):
            raise forms.ValidationError("true or false is needed", code="bool_parsing")
        return value == "true"


class _Instant(forms.Field):
    widget = forms.TextInput

    def to_python(self, value: str | None) -> datetime | None:
        if value in ("", None):
            return None
        try:
            found = datetime.fromisoformat(str(value))
        except ValueError:
            raise forms.ValidationError("", code="datetime_type") from None
        if found.tzinfo is None:
            raise forms.ValidationError("", code="timezone_aware")
        if not 1900 <= found.year < 2200:
            raise forms.ValidationError("", code="datetime_range")
        return found.astimezone(UTC)


class Moment(filters.IsoDateTimeFilter):  # type: ignore[misc]
    """An instant of the years in which there is anything, with its offset."""

    field_class = _Instant


class Yes(filters.BooleanFilter):  # type: ignore[misc]
    """true or false; the library would take any other word for neither."""

    field_class = _YesOrNo

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(widget=forms.TextInput, **kwargs)


class Filters(filters.FilterSet):  # type: ignore[misc]
    """The base of all filters."""


class AtFilters(Filters):
    """For what happened at a time."""

    at_from = Moment(field_name="at", lookup_expr="gte")
    at_before = Moment(field_name="at", lookup_expr="lt")
