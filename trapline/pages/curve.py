"""The survival of a kind of part as a drawing: the steps, the curve and its limits."""

from dataclasses import dataclass

import numpy as np
from django.utils.html import format_html
from django.utils.safestring import SafeString

from trapline.plans.lives import KindLife

WIDTH, HEIGHT = 640.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 44.0, 12.0, 10.0, 34.0
POINTS = 80


@dataclass(frozen=True)
class _Frame:
    longest: float

    def x(self, served: float) -> float:
        return LEFT + served / self.longest * (WIDTH - LEFT - RIGHT)

    def y(self, share: float) -> float:
        return TOP + (1 - share) * (HEIGHT - TOP - BOTTOM)

    def at(self, served: float, share: float) -> str:
        return f"{self.x(served):.1f},{self.y(share):.1f}"


def drawn(life: KindLife) -> SafeString | None:
    """The inside of an SVG of WIDTH by HEIGHT; None where no part has served yet."""
    longest = float(life.lives.served.max(initial=0.0))
    if longest <= 0:
        return None
    frame = _Frame(longest * 1.05)
    return format_html("{}{}{}{}", _axes(frame), _band(life, frame), _steps(life, frame), _ticks(
        life, frame))  # fmt: skip


def _axes(frame: _Frame) -> SafeString:
    parts = [
        format_html(
            '<line x1="{}" x2="{}" y1="{y}" y2="{y}" class="grid"/>'
            '<text x="{}" y="{}" class="scale end">{}</text>',
            LEFT, WIDTH - RIGHT, LEFT - 6, frame.y(share) + 4, f"{share:.0%}",
            y=frame.y(share),
        )
        for share in (0.0, 0.25, 0.5, 0.75, 1.0)
    ]  # fmt: skip
    step = _step(frame.longest)
    parts += [
        format_html(
            '<text x="{}" y="{}" class="scale middle">{}</text>',
            f"{frame.x(value):.1f}", HEIGHT - BOTTOM + 18, f"{value:g}",
        )
        for value in np.arange(0, frame.longest, step).tolist()
    ]  # fmt: skip
    return SafeString("".join(parts))


def _step(longest: float) -> float:
    """A round number of which about five fit in."""
    power = float(10 ** np.floor(np.log10(longest / 5)))
    return next(n * power for n in (1.0, 2.0, 5.0, 10.0) if longest / (n * power) <= 6)


def _band(life: KindLife, frame: _Frame) -> SafeString:
    if life.curve is None:
        return SafeString("")
    served = np.linspace(0, frame.longest, POINTS)
    band = life.curve.surviving(served)
    upper = [frame.at(t, s) for t, s in zip(served, band.upper, strict=True)]
    lower = [frame.at(t, s) for t, s in zip(served, band.lower, strict=True)]
    line = [frame.at(t, s) for t, s in zip(served, band.value, strict=True)]
    return format_html(
        '<polygon points="{}" class="band"/><polyline points="{}" class="curve"/>',
        " ".join([*upper, *reversed(lower)]),
        " ".join(line),
    )


def _steps(life: KindLife, frame: _Frame) -> SafeString:
    points, share = [frame.at(0, 1)], 1.0
    for served, after in zip(life.steps.served, life.steps.surviving, strict=True):
        points += [frame.at(served, share), frame.at(served, after)]
        share = float(after)
    points.append(frame.at(float(life.lives.served.max()), share))
    return format_html('<polyline points="{}" class="steps"/>', " ".join(points))


def _ticks(life: KindLife, frame: _Frame) -> SafeString:
    """A mark above the axis for each part that has not failed, at most 200 of them."""
    still = np.unique(life.lives.served[~life.lives.failed].round(1))[:200]
    y = frame.y(0)
    marks = (f"M{frame.x(t):.1f} {y:.1f}v-7" for t in still.tolist())
    return format_html('<path d="{}" class="still"/>', "".join(marks))
