"""A set as a file describes it, in the file's own words."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from math import isfinite

from trapline.ground.errors import Problem
from trapline.ground.keepable import keepable

MOST_ROWS = 500
LONGEST_LABEL = 60


@dataclass(frozen=True)
class Draft:
    """label; lon, lat: degrees, WGS 84; at: when it was placed, if the file says so.

    words: what else the row says, by the name of a field of place_set: names, marks and numbers of
    the team's, which only record/ can look up.
    """

    label: str
    lon: float
    lat: float
    at: datetime | None = None
    words: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Row:
    """What stands at one line of the file: a draft, or what is wrong with it."""

    line_no: int
    draft: Draft | None
    problems: tuple[Problem, ...] = ()


def drafted(
    line_no: int,
    *,
    label: str,
    lat: str,
    lon: str,
    at: str = "",
    words: Mapping[str, str] | None = None,
) -> Row:
    """A row from its texts: the draft, or every problem in it."""
    problems: list[Problem] = []
    label = " ".join(label.split())
    if not label:
        problems.append(Problem("label", "row_no_label"))
    elif len(label) > LONGEST_LABEL:
        problems.append(Problem("label", "row_label_long", {"most": LONGEST_LABEL}))
    for name, text in {"label": label, **(words or {})}.items():
        if not keepable(text):
            problems.append(Problem(name, "json_text"))
    north = _degrees("lat", lat, 90, problems)
    east = _degrees("lon", lon, 180, problems)
    moment = _moment(at, problems)
    if problems or north is None or east is None:
        return Row(line_no, None, tuple(problems))
    return Row(line_no, Draft(label, east, north, moment, words or {}))


def _degrees(name: str, text: str, most: int, problems: list[Problem]) -> float | None:
    try:
        value = float(text)
    except ValueError:
        problems.append(Problem(name, "row_degrees", {"text": text[:40], "most": most}))
        return None
    if not isfinite(value) or abs(value) > most:
        problems.append(Problem(name, "row_degrees", {"text": text[:40], "most": most}))
        return None
    return value


def _moment(text: str, problems: list[Problem]) -> datetime | None:
    """ISO 8601; without an offset it is UTC, as GPX 1.1 has it."""
    if not text.strip():
        return None
    try:
        found = datetime.fromisoformat(text.strip())
    except ValueError:
        problems.append(Problem("at", "row_time", {"text": text[:40]}))
        return None
    if not 1900 <= found.year < 2200:
        problems.append(Problem("at", "row_time", {"text": text[:40]}))
        return None
    return found.replace(tzinfo=found.tzinfo or UTC).astimezone(UTC)
