"""How bright the map is behind a marker: for choosing colours that can be seen on it.

Relative luminance and contrast ratio as WCAG 2.2 defines them (W3C Recommendation, "relative
luminance" and "contrast ratio"); 3:1 is asked of graphical objects (1.4.11), 4.5:1 of text (1.4.3).
"""

from collections.abc import Iterable
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike
from PIL import Image

from ..frame import Floats
from .style import Colour

# Marker colours that stand out on every tile of their variant, tested against the tiles. A marker
# with a rim in the variant's paper colour stands out from contours and roads too.
MARKERS: dict[str, dict[str, Colour]] = {
    "light": {
        "ink": (29, 36, 44),
        "stop": (120, 20, 14),
        "mend": (86, 48, 0),
        "calm": (12, 60, 78),
    },
    "dark": {
        "ink": (240, 236, 224),
        "stop": (255, 160, 144),
        "mend": (255, 200, 112),
        "calm": (150, 214, 236),
    },
}


def luminance(rgb: ArrayLike) -> Floats:
    """Relative luminance, 0 to 1, of sRGB colours 0-255 of shape (..., 3)."""
    part = np.asarray(rgb, dtype=np.float64) / 255
    linear = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
    return np.asarray(linear @ np.array([0.2126, 0.7152, 0.0722]))


def ratio(one: ArrayLike, other: ArrayLike) -> Floats:
    """Contrast ratio, 1 to 21, of two luminances."""
    a, b = np.asarray(one, dtype=np.float64), np.asarray(other, dtype=np.float64)
    return np.asarray((np.maximum(a, b) + 0.05) / (np.minimum(a, b) + 0.05))


def backgrounds(paths: Iterable[Path]) -> Floats:
    """The luminance of every pixel of some tiles, sorted."""
    seen = []
    for path in paths:
        with Image.open(path) as tile:
            seen.append(luminance(np.asarray(tile.convert("RGB"))).ravel())
    return np.sort(np.concatenate(seen))
