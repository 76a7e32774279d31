"""A path typed as lines of latitude and longitude; the map writes the same lines."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _


class PathField(forms.Field):
    """One place a line, `latitude, longitude` in degrees. Value: [[lon, lat], ...] or None."""

    widget = forms.Textarea(attrs={"rows": 5, "spellcheck": "false", "data-path": ""})
    default_error_messages = {
        "shape": _(
            "Line %(line)s: give latitude and longitude in degrees, as in 61.9012, -128.4031."
        ),
        "range": _("Line %(line)s: latitude lies in -90 to 90, longitude in -180 to 180."),
        "short": _("A path needs two places or more, one a line."),
    }

    def to_python(self, value: Any) -> list[list[float]] | None:
        if not value or not str(value).strip():
            return None
        found = []
        for number, text in enumerate(str(value).splitlines(), start=1):
            if text.strip():
                found.append(self._place(text, number))
        if len(found) < 2:
            raise ValidationError(self.error_messages["short"], code="short")
        return found

    def _place(self, text: str, number: int) -> list[float]:
        parts = text.replace(";", ",").split(",") if "," in text or ";" in text else text.split()
        try:
            lat, lon = (float(part) for part in parts)
        except ValueError:
            message = self.error_messages["shape"] % {"line": number}
            raise ValidationError(message, code="shape") from None
        if not (-90 <= lat <= 90 and -180 <= lon <= 180):
            raise ValidationError(self.error_messages["range"] % {"line": number}, code="range")
        return [lon, lat]

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, list):
            return "\n".join(f"{lat:.6f}, {lon:.6f}" for lon, lat in value)
        return value
