"""The time zones one chooses a line's from."""

from functools import cache
from zoneinfo import available_timezones

from django.utils.translation import gettext_lazy as _

OTHERS = {"Etc", "SystemV", "US", "posix", "right"}


@cache
def zone_choices() -> list[tuple[str, object]]:
    """Every place's zone of the tz database, by continent. The browser's own is set by script."""
    by_part: dict[str, list[tuple[str, str]]] = {}
    for name in sorted(available_timezones()):
        part, _slash, place = name.partition("/")
        if place and part not in OTHERS:
            by_part.setdefault(part, []).append((name, name.replace("_", " ")))
    by_part["Etc"] = [("UTC", "UTC")]
    return [("", _("Choose …")), *by_part.items()]
