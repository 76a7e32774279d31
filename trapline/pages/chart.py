"""A chart of figures with limits, drawn on the server as SVG. Its table stands beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, log10
from statistics import median

WIDE, LEFT, RIGHT, ROW, TOP = 640, 190, 24, 26, 8
MOST_TIMES_USUAL = 4  # the scale’s end in medians of the figures


@dataclass(frozen=True)
class Point:
    """A figure with its limits; None where there is none."""

    label: str
    value: float | None
    lower: float | None
    upper: float | None


@dataclass(frozen=True)
class Drawn:
    """One row of the chart in the units of its view box."""

    label: str
    y: int
    text_y: int
    x: float | None
    low: float | None
    high: float | None
    wide: float
    beyond: bool  # the upper limit lies off the chart
    off: str  # the figure, or its lower limit, where that lies off the chart; else nothing


@dataclass(frozen=True)
class Chart:
    """All that the template draws."""

    width: int
    height: int
    foot: int
    rows: list[Drawn]
    ticks: list[tuple[float, str]]


def chart(points: Sequence[Point]) -> Chart:
    """Rows with a mark and a bar from limit to limit, on a scale from 0 with round ticks."""
    tops = [one.value for one in points if one.value is not None]
    uppers = [one.upper for one in points if one.upper is not None]
    # One figure of a few hours must not squeeze the rest: what lies beyond is cut and marked so.
    usual = median([one for one in tops if one] or [1.0])
    most = min(max([*uppers, *tops], default=1.0), MOST_TIMES_USUAL * usual) or 1.0
    step = _step(most)
    scale = (WIDE - LEFT - RIGHT) / most

    def at(value: float) -> float:
        return round(LEFT + min(value, most) * scale, 1)

    rows = []
    for number, one in enumerate(points):
        y = TOP + ROW * number + ROW // 2
        told = one.lower if one.value is None else one.value
        off = _written(told) if told is not None and told > most else ""
        low = None if one.lower is None else at(one.lower)
        high = None if one.upper is None else at(one.upper)
        wide = high - low if low is not None and high is not None else 0.0
        rows.append(
            Drawn(
                one.label[:26], y, y + 4, None if one.value is None or off else at(one.value),
                low, high, round(wide, 1), one.upper is not None and one.upper > most, off,
            )
        )  # fmt: skip
    count = int(most / step + 1e-9)
    ticks = [(at(step * n), f"{step * n:g}") for n in range(count + 1)]
    foot = TOP + ROW * len(rows)
    return Chart(WIDE, foot + 22, foot, rows, ticks)


def _written(value: float) -> str:
    return f"{value:.0f}" if value >= 100 else f"{value:.3g}"


def _step(most: float) -> float:
    """A round step that gives three to seven ticks."""
    rough = most / 5
    power: float = 10.0 ** floor(log10(rough))
    return min((power * n for n in (1, 2, 5, 10)), key=lambda one: abs(one - rough))
