"""When a season is open: spans of a yearly or a dated season, on one zone's calendar.

A season opens at a clock time of its first day (its start, without one) and closes at one of its
last day (its end, without one). The 29th of February is the last day of February.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, tzinfo
from typing import Any

import numpy as np

from trapline.calc.clock import DAY_US, NEVER_US, SECOND_US, ZoneTable, to_datetime, zone_table

_EPOCH_DAY = date(1970, 1, 1).toordinal()
_REACH_US = 800 * DAY_US


@dataclass(frozen=True)
class Span:
    """Open from `opens_us` up to `closes_us`, that not included (microseconds since 1970)."""

    opens_us: int
    closes_us: int


def spans(form: str, params: Mapping[str, Any], zone: tzinfo, at_us: int) -> list[Span]:
    """The season's spans about an instant: of the year before, its own and the next.

    form: each_year (MM-DD; over the new year when the second day is the earlier) or once
    (YYYY-MM-DD). ValueError for another form.
    """
    table = zone_table(zone, at_us - _REACH_US, at_us + _REACH_US)
    if form == "once":
        first, last = (date.fromisoformat(params[name]) for name in ("opens_on", "closes_on"))
        # A season years away has no changes of the clock in the table, and needs none.
        near = _near(first, last, at_us)
        return [_span(table, first, last, params)] if near else []
    if form != "each_year":
        raise ValueError(f"form: {form} is no form of season")
    year = to_datetime(at_us).year
    opens, closes = params["opens_on"], params["closes_on"]
    over = 1 if closes < opens else 0
    return [
        _span(table, _day(opens, start), _day(closes, start + over), params)
        for start in (year - 2, year - 1, year, year + 1)
    ]


@dataclass(frozen=True)
class Standing:
    """Whether one of some spans is open at an instant; the last close and the next opening.

    NEVER_US for no next one, -NEVER_US for no last one. `closes_us`: of the open span that closes
    last; NEVER_US while shut.
    """

    open: bool
    closes_us: int
    closed_us: int
    opens_us: int


def standing(found: Iterable[Span], at_us: int) -> Standing:
    """How some spans of one season stand: open is what any of them opens."""
    closes, closed, opens = -NEVER_US, -NEVER_US, NEVER_US
    for span in found:
        if span.opens_us <= at_us < span.closes_us:
            closes = max(closes, span.closes_us)
        elif span.closes_us <= at_us:
            closed = max(closed, span.closes_us)
        else:
            opens = min(opens, span.opens_us)
    is_open = closes > at_us
    return Standing(is_open, closes if is_open else NEVER_US, closed, opens)


def _span(table: ZoneTable, first: date, last: date, params: Mapping[str, Any]) -> Span:
    start = np.array([(first.toordinal() - _EPOCH_DAY)], dtype=np.int64)
    end = np.array([(last.toordinal() - _EPOCH_DAY)], dtype=np.int64)
    by = params.get("opens_by")
    opens = table.last_shown(start * DAY_US + _clock(by)) if by else table.start_of(start)
    by = params.get("closes_by")
    closes = table.first_reached(end * DAY_US + _clock(by)) if by else table.end_of(end)
    return Span(int(opens[0]), int(closes[0]))


def _clock(text: str) -> int:
    hours, minutes = text.split(":")
    return (int(hours) * 60 + int(minutes)) * 60 * SECOND_US


def _day(text: str, year: int) -> date:
    month, day = int(text[:2]), int(text[3:])
    if (month, day) == (2, 29):
        return date.fromordinal(date(year, 3, 1).toordinal() - 1)
    return date(year, month, day)


def _near(first: date, last: date, at_us: int) -> bool:
    today = at_us // DAY_US + _EPOCH_DAY
    return first.toordinal() - 750 < today < last.toordinal() + 750
