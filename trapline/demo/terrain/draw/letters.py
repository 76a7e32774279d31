"""Names on the map: straight for lakes and hills, along the bank for creeks, across for contours.

Pillow's own font is used, so that the map is the same on every machine.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from PIL import Image, ImageDraw, ImageFont
from scipy.ndimage import gaussian_filter1d

from ..frame import Floats
from ..outline import along, stations
from .sampling import View

HALO_PX = 2


@dataclass(frozen=True)
class Glyph:
    """A small picture of text: its mask and that of its halo, and where its corner lies."""

    x: int  # world pixels at the zoom
    y: int
    text: Image.Image
    halo: Image.Image
    role: str  # name, water_name or height_name

    def overlaps(self, other: "Glyph", gap: int = 6) -> bool:
        (w, h), (ow, oh) = self.text.size, other.text.size
        apart_x = self.x > other.x + ow + gap or other.x > self.x + w + gap
        apart_y = self.y > other.y + oh + gap or other.y > self.y + h + gap
        return not (apart_x or apart_y)

    def covers(self, point: Floats, gap: int = 3) -> bool:
        """Whether the glyph would hide a symbol at a point in world pixels."""
        x, y = float(point[0]) - self.x, float(point[1]) - self.y
        w, h = self.text.size
        return -gap < x < w + gap and -gap < y < h + gap


@lru_cache(maxsize=32)
def font(size: float) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(size)


def picture(text: str, size: float, angle: float = 0.0) -> tuple[Image.Image, Image.Image]:
    """(text, halo) masks of a text, turned by `angle` degrees anticlockwise."""
    face = font(size * 2)
    left, top, right, bottom = face.getbbox(text, stroke_width=HALO_PX * 2)
    pad = 4
    box = (int(right - left) + 2 * pad, int(bottom - top) + 2 * pad)
    layers = []
    for stroke in (0, HALO_PX * 2):
        image = Image.new("L", box)
        ImageDraw.Draw(image).text(
            (pad - left, pad - top), text, fill=255, font=face, stroke_width=stroke
        )
        if angle:
            image = image.rotate(angle, resample=Image.Resampling.BICUBIC, expand=True)
        image = image.resize(
            (max(image.width // 2, 1), max(image.height // 2, 1)), Image.Resampling.BOX
        )
        layers.append(image)
    return layers[0], layers[1]


def straight(text: str, size: float, centre: Floats, role: str, angle: float = 0.0) -> Glyph:
    """A text centred on a point in world pixels."""
    mask, halo = picture(text, size, angle)
    w, h = mask.size
    return Glyph(round(float(centre[0]) - w / 2), round(float(centre[1]) - h / 2), mask, halo, role)


def along_line(text: str, size: float, line: Floats, role: str, lift: float) -> list[Glyph]:
    """A text letter by letter beside a line in world pixels, `lift` px above it, if it fits."""
    face = font(size * 2)
    widths = np.array([face.getlength(letter) for letter in text]) / 2 + size * 0.14
    length, need = stations(line)[-1], float(widths.sum())
    if length < need * 1.15:
        return []
    even = along(line, np.linspace(0, length, max(int(length / 3), 8)))
    calm = gaussian_filter1d(even, max(size * 0.9, 4), axis=0, mode="nearest")
    start = (stations(calm)[-1] - need) / 2
    if start < 0:
        return []
    head, tail = along(calm, np.array([start, start + need]))
    if head[0] > tail[0]:
        calm = calm[::-1]
    at = start + np.cumsum(widths) - widths / 2
    points, ahead = along(calm, at), along(calm, at + 2)
    run = ahead - points
    run /= np.maximum(np.linalg.norm(run, axis=1, keepdims=True), 1e-9)
    if np.any((run[1:] * run[:-1]).sum(axis=1) < 0.8):
        return []  # too sharp a bend to read
    points = points + np.stack([run[:, 1], -run[:, 0]], axis=-1) * lift
    turns = np.degrees(np.arctan2(-run[:, 1], run[:, 0]))
    return [
        _letter(letter, size, point, role, float(turn))
        for letter, point, turn in zip(text, points, turns, strict=True)
        if letter != " "
    ]


def _letter(letter: str, size: float, point: Floats, role: str, turn: float) -> Glyph:
    """One letter of a name on a line. Every letter gets the same box, so that the feet line up."""
    face = font(size * 2)
    side = int(size * 2 * 2.2)
    layers = []
    for stroke in (0, HALO_PX * 2):
        image = Image.new("L", (side, side))
        ImageDraw.Draw(image).text(
            (side / 2, side / 2 + size * 0.7),
            letter,
            fill=255,
            font=face,
            anchor="ms",
            stroke_width=stroke,
        )
        image = image.rotate(turn, resample=Image.Resampling.BICUBIC)
        image = image.resize((side // 2, side // 2), Image.Resampling.BOX)
        layers.append(image)
    half = side // 4
    x, y = round(float(point[0])) - half, round(float(point[1])) - half
    return Glyph(x, y, layers[0], layers[1], role)


def stamp(glyphs: list[Glyph], view: View, role: str) -> tuple[Image.Image, Image.Image] | None:
    """(text, halo) masks of the glyphs of one role over a view, or None where there are none."""
    text = Image.new("L", (view.width, view.height))
    halo = Image.new("L", (view.width, view.height))
    drawn = False
    for glyph in glyphs:
        at = (glyph.x - int(view.left), glyph.y - int(view.top))
        beside = at[0] + glyph.text.width < 0 or at[1] + glyph.text.height < 0
        if glyph.role != role or beside or at[0] >= view.width or at[1] >= view.height:
            continue
        text.paste(255, at, glyph.text)
        halo.paste(255, at, glyph.halo)
        drawn = True
    return (text, halo) if drawn else None
