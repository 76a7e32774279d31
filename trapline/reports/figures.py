"""What a group's intervals say: the rate with its limits and what stands beside it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

import numpy as np

from trapline.calc.effort import (
    Intervals,
    Outcome,
    equal_rates,
    half_interval_nights,
    intervals,
    worth_showing_both,
)
from trapline.calc.rates import RateFigure, night_dispersion, target_rate, widened
from trapline.reports.harvest import tenths_of_hours
from trapline.reports.period import Period
from trapline.standing.packs import Looks, length, unpack


@dataclass(frozen=True)
class Figure:
    """`rate` per device-night; `half_rate` by the classic correction, only where it differs by over
    5 %; `alike` the equal rate, only where sets differ very much; `bound` the equal rate were each
    of the `undated` failures at its interval's end; `dated` failures count up to when readings of
    snow or ice show them; `dispersion` of line-wide nights, by which the limits were widened. Hours
    possibly held are tenths, rounded up."""

    rate: RateFigure
    half_rate: float | None
    bound: float | None
    dispersion: float
    undated: int
    hours_held_median: float | None
    hours_held_most: float | None
    dated: int = 0
    alike: float | None = None


def data_of(packs: Iterable[tuple[UUID, bytes]]) -> tuple[Intervals, Looks]:
    """The intervals of some sets, or of none. The same set has the same number in every group."""
    told = list(packs)
    looks = unpack(pack for _, pack in told)
    # Keys are 128 bits.
    numbers = np.array([hash(one) for one, _ in told], dtype=np.int64)
    lengths = np.array([length(pack) for _, pack in told], dtype=np.int64)
    set_of = np.repeat(numbers, lengths)
    return intervals(looks.nights, looks.outcome, looks.served, set_of), looks


def reckon(packs: Iterable[tuple[UUID, bytes]]) -> Figure:
    """The figure of some sets' intervals, at least one."""
    data, looks = data_of(packs)
    dispersion = night_dispersion(data, looks.day)
    rate = widened(target_rate(data), dispersion)
    held = looks.nights[looks.held]
    return Figure(
        rate=rate,
        half_rate=_half(data, rate),
        bound=_bound(data, rate),
        dispersion=dispersion,
        undated=data.undated,
        hours_held_median=_hours(float(np.median(held))) if len(held) else None,
        hours_held_most=_hours(float(held.max())) if len(held) else None,
        dated=int(np.isfinite(data.served).sum()),
        alike=data.equal.by_cause[Outcome.TARGET] if rate.unlike else None,
    )


def _hours(nights: float) -> float:
    # Nights are exact to microseconds; what lies beyond is the float's.
    return tenths_of_hours(timedelta(microseconds=round(nights * 86_400_000_000)))


def _half(data: Intervals, figure: RateFigure) -> float | None:
    if not figure.rate:
        return None
    half = figure.catches / half_interval_nights(data, "A")
    return half if worth_showing_both(figure.rate, half) else None


def _bound(data: Intervals, figure: RateFigure) -> float | None:
    if figure.rate is None or not data.undated:
        return None
    throughout = equal_rates(data.in_service_throughout())
    return figure.catches / throughout.effective_nights


def whole_months(period: Period) -> tuple[date | None, date | None]:
    """The first day of the first whole month of a period, and the first day after the last one."""
    first, last = period.first, period.last
    head = first if first is None or first.day == 1 else _next_month(first)
    foot = None
    if last is not None:
        after = last + timedelta(days=1)
        foot = after.replace(day=1)
    if head is not None and foot is not None and foot < head:
        head = foot = first  # no month is whole
    return head, foot


def _next_month(day: date) -> date:
    return (day.replace(day=28) + timedelta(days=4)).replace(day=1)
