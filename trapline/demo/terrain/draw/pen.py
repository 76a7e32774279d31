"""Lines, areas and symbols as coverage masks, drawn large and reduced so that edges are soft."""

from collections.abc import Iterable

import numpy as np
from PIL import Image, ImageDraw

from ..frame import Floats
from ..outline import along, stations
from .sampling import View

FINER = 2


def _fine(points: Floats) -> list[float]:
    """Flat coordinates on the finer grid, rounded down so that neighbouring views agree."""
    flat: list[float] = np.floor(points * FINER).ravel().tolist()
    return flat


class Pen:
    """A mask the size of a view. Points are in the view's pixels."""

    def __init__(self, view: View) -> None:
        self.size = (view.width, view.height)
        self.used = False
        self._image = Image.new("L", (view.width * FINER, view.height * FINER))
        self._draw = ImageDraw.Draw(self._image)

    def _touches(self, points: Floats, margin: float = 8.0) -> bool:
        low, high = points.min(axis=0), points.max(axis=0)
        inside = np.all(high > -margin) and np.all(low < np.array(self.size) + margin)
        self.used = self.used or bool(inside)
        return bool(inside)

    def line(self, points: Floats, width: float) -> None:
        """A line `width` pixels wide."""
        if self._touches(points):
            self._draw.line(
                _fine(points), fill=255, width=max(round(width * FINER), 1), joint="curve"
            )

    def dashes(self, points: Floats, width: float, on: float, off: float) -> None:
        """A dashed line, `on` pixels drawn and `off` not, counted from its start."""
        if not self._touches(points):
            return
        s = stations(points)
        for start in np.arange(0.0, s[-1], on + off).tolist():
            end = min(start + on, s[-1])
            inner = s[(s > start) & (s < end)]
            dash = along(points, np.concatenate([[start], inner, [end]]))
            if np.all(dash.max(0) > -4) and np.all(dash.min(0) < np.array(self.size) + 4):
                self.line(dash, width)

    def area(self, rings: Iterable[Floats]) -> None:
        """A polygon: the first ring filled, the others cut out."""
        for number, ring in enumerate(rings):
            if number == 0 and not self._touches(ring):
                return
            self._draw.polygon(_fine(ring), fill=0 if number else 255)

    def dot(self, point: Floats, radius: float) -> None:
        """A filled disc."""
        if self._touches(point[None]):
            x, y, r = float(point[0]) * FINER, float(point[1]) * FINER, radius * FINER
            self._draw.ellipse((x - r, y - r, x + r, y + r), fill=255)

    def coverage(self) -> Image.Image | None:
        """The mask as an 8-bit picture the size of the view, or None where nothing was drawn."""
        return self._image.reduce(FINER) if self.used else None
