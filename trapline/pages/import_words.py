"""The columns of a file of sets in words, and a file to begin with."""

import csv
from collections.abc import Iterable
from io import StringIO

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from trapline.lines.formats.csv_in import COLUMNS
from trapline.lines.words import Placement
from trapline.wording.vocabulary import label_of

_MEANS: dict[str, str | Promise] = {
    "label": _("What the team calls the set on its line; up to 60 characters."),
    "lat": _("Latitude in degrees, WGS 84; south is negative."),
    "lon": _("Longitude in degrees, WGS 84; west is negative."),
    "placed_at": _("When it was placed, with its offset: 2026-01-05T09:12:00-07:00."),
    "line": _("A line’s name, if it is another than this one."),
    "licence": _("A licence’s number."),
    "device": _("A device’s mark."),
    "responsible": _("A member’s name."),
    "targets": _("Species by their codes, with spaces or semicolons between them."),
    "tag": _("What the tag on the device says."),
    "bait": _("Bait or lure."),
    "loop_diameter_m": _("Loop diameter in metres."),
    "loop_height_m": _("Loop’s bottom above the surface, in metres."),
    "anchoring": _("How it is anchored."),
    "water_depth_m": _("Water depth in metres."),
    "snow_depth_m": _("Snow depth in metres."),
}
_EXAMPLE = (
    {
        "label": "C-01", "lat": "61.90120", "lon": "-128.40310", "placement": "land",
        "placed_at": "2026-01-05T09:12:00-07:00", "loop_diameter_m": "0.25",
        "loop_height_m": "0.20", "bait": "none",
    },
    {
        "label": "C-02", "lat": "61.90480", "lon": "-128.41070", "placement": "water_edge",
        "placed_at": "2026-01-05T10:05:00-07:00", "anchoring": "stake", "water_depth_m": "0.05",
    },
)  # fmt: skip


def explained(columns: Iterable[str]) -> list[tuple[str, str]]:
    """Each column with what it means."""
    places = ", ".join(f"{code} ({label_of('placement', code)})" for code in Placement.values)
    return [(name, places if name == "placement" else str(_MEANS[name])) for name in columns]


def example_csv() -> str:
    """Two rows of an invented line under every column, as RFC 4180 has it."""
    text = StringIO(newline="")
    writer = csv.DictWriter(text, COLUMNS, restval="")
    writer.writeheader()
    writer.writerows(_EXAMPLE)
    return text.getvalue()
