"""What effort gave, by line, set, device, placement, bait, species aimed at, month or season."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

import numpy as np

from trapline.calc.compare import RateRatio, rate_ratio
from trapline.calc.devices import Efficiency, Share, efficiency, share
from trapline.calc.effort import (
    Intervals,
    equal_rates,
    half_interval_nights,
    intervals,
    worth_showing_both,
)
from trapline.calc.rates import RateFigure, night_dispersion, target_rate, widened
from trapline.ground import sql
from trapline.reports.harvest import tenths_of_hours
from trapline.reports.period import Period
from trapline.reports.yields import outcomes

BY = ("line", "set", "device", "placement", "bait", "species", "month", "season")
MOST = 400


@dataclass(frozen=True)
class Group:
    """One group. `rate` per device-night; `half_rate` by the classic correction, only where it
    differs by over 5 %; `bound` the equal rate were every undated failure at its interval's end;
    `dispersion` of line-wide nights, by which the limits were widened."""

    key: str
    label: str
    looks: int
    nights: float
    targets: int
    others: int
    selectivity: Share
    efficiency: Efficiency
    alive: Share
    hours_held_median: float | None
    rate: RateFigure
    half_rate: float | None
    bound: float | None
    dispersion: float
    data: Intervals


def grouped(team: UUID, by: str, period: Period, *, member: UUID | None = None) -> list[Group]:
    """The groups by name, at most 400. One statement. `by` is one of BY."""
    if by not in BY:
        raise ValueError("by: not a way to group")
    values = {
        "team": team, "by": by, "first": period.first, "last": period.last, "member": member,
        "most": MOST,
    }  # fmt: skip
    return [_group(*row) for row in sql.rows("trapline.reports", "grouped", values)]


def _group(
    key: str, label: str, looks: int, nights: float, targets: int, others: int, escaped: int,
    unknown: int, animals: int, alive: int, median: timedelta | None, each_nights: list[float],
    each_found: list[str], each_target: list[bool], each_set: list[UUID], each_day: list[date],
) -> Group:  # fmt: skip
    # Keys are 128 bits; the same set has the same number in every group.
    numbers = np.array([hash(one) for one in each_set], dtype=np.int64)
    data = intervals(each_nights, outcomes(each_found, each_target), set_of=numbers)
    dispersion = night_dispersion(data, np.array([day.toordinal() for day in each_day]))
    figure = widened(target_rate(data), dispersion)
    return Group(
        key=key,
        label=label,
        looks=looks,
        nights=float(nights),
        targets=int(targets),
        others=int(others),
        selectivity=share(int(targets), int(targets + others)),
        efficiency=efficiency(int(targets + others), escaped, unknown),
        alive=share(int(alive), int(animals)),
        hours_held_median=None if median is None else tenths_of_hours(median),
        rate=figure,
        half_rate=_half(data, figure),
        bound=_bound(data, figure),
        dispersion=dispersion,
        data=data,
    )


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


def compared(groups: list[Group], first: str, second: str) -> RateRatio | None:
    """Two of the groups side by side; None when one is not there."""
    known: dict[str, Any] = {group.key: group for group in groups}
    if first not in known or second not in known or first == second:
        return None
    return rate_ratio(known[first].data, known[second].data)
