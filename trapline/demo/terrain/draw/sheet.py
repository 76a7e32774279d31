"""One printable sheet of the whole valley: the map, its lines and zones, and a margin."""

from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw

from .. import names
from ..frame import Floats
from ..model import Terrain
from .letters import font
from .nameplan import plan
from .paint import lay, paint, prepare
from .pen import Pen
from .sampling import View
from .style import LIGHT, Colour
from .tilemath import metres_per_pixel, pixels

DESIGN_PX = 1400  # the width at which lines and letters have their usual size
INK: Colour = (44, 48, 54)
ACCENT: Colour = (150, 44, 34)
MARGIN, FOOT = 0.035, 0.11  # shares of the sheet's width


def render_sheet(terrain: Terrain, path: Path, width_px: int) -> None:
    """Write the sheet, `width_px` wide, in the format of the path's suffix (Pillow's formats).

    Errors: ValueError for a width under 600 px, which would not be legible.
    """
    if width_px < 600:
        raise ValueError(f"A sheet {width_px} px wide cannot be read; ask for 600 or more.")
    view = _view(terrain, width_px)
    image = paint(
        prepare(terrain, {"light": LIGHT}),
        view,
        plan(terrain, view.zoom, view.ink),
        {"light": LIGHT},
    )["light"]
    _overlay(image, terrain, view)
    margin = round(MARGIN * width_px)
    head = round(0.075 * width_px)
    sheet = Image.new("RGB", (width_px, head + view.height + round(FOOT * width_px)), LIGHT.paper)
    sheet.paste(image, (margin, head))
    _furnish(sheet, terrain, view, (margin, head))
    sheet.save(path)


def _view(terrain: Terrain, width_px: int) -> View:
    west, south, east, north = terrain.bounds
    inner = width_px - 2 * round(MARGIN * width_px)
    zoom = float(np.log2(inner / (east - west) * 360 / 256))
    left, top = pixels((west, north), zoom).tolist()
    _, bottom = pixels((east, south), zoom).tolist()
    ink = width_px / DESIGN_PX
    return View(zoom, round(left), round(top), inner, round(bottom - top), ink)


def _overlay(image: Image.Image, terrain: Terrain, view: View) -> None:
    """The zones' border, the three lines and the sets."""
    ink = view.ink
    border = Pen(view)
    for zone in terrain.zones:
        ring = view.place(np.array(zone.geometry["coordinates"][0]))
        border.dashes(ring, 2.2 * ink, 11 * ink, 6 * ink)
    lay(image, INK, border.coverage(), 0.55)
    for number, line in enumerate(terrain.lines):
        path = view.place(np.array(line.geometry["coordinates"]))
        casing, stroke = Pen(view), Pen(view)
        casing.line(path, 5.0 * ink)
        on, off = ((1, 0), (9, 4), (2.5, 3.5))[number]
        if off:
            stroke.dashes(path, 2.4 * ink, on * ink, off * ink)
        else:
            stroke.line(path, 2.4 * ink)
        lay(image, LIGHT.paper, casing.coverage(), 0.75)
        lay(image, ACCENT, stroke.coverage(), 1.0)
    rim, core = Pen(view), Pen(view)
    for place in terrain.sets:
        point = view.place(np.array([place.lon, place.lat]))
        rim.dot(point, 4.4 * ink)
        core.dot(point, 3.0 * ink)
    lay(image, INK, rim.coverage(), 1.0)
    lay(image, LIGHT.paper, core.coverage(), 1.0)


def _furnish(sheet: Image.Image, terrain: Terrain, view: View, corner: tuple[int, int]) -> None:
    """Title, north arrow, scale bar, key and the word that the place is invented."""
    draw = ImageDraw.Draw(sheet)
    ink, (left, top) = view.ink, corner
    right, foot = left + view.width, top + view.height
    draw.text((left, top - 18 * ink), names.VALLEY, INK, font(36 * ink), anchor="ls")
    note = "An invented valley. Heights in metres, contours each 100 m. Not for travel."
    draw.text((right, top - 18 * ink), note, INK, font(13 * ink), anchor="rs")
    draw.line((left, top - 9 * ink, right, top - 9 * ink), INK, max(round(ink), 1))
    _scale_bar(draw, terrain, view, (left, foot + 42 * ink))
    x = left + 0.34 * view.width
    for number, line in enumerate(terrain.lines):
        y = foot + (34 + 26 * number) * ink
        dash = ((60, 0), (9, 4), (2.5, 3.5))[number]
        _sample(draw, (x, y), dash, ink)
        km = float(line.facts["length_m"]) / 1000
        draw.text((x + 74 * ink, y), f"{line.name}, {km:.1f} km", INK, font(15 * ink), anchor="lm")
    x = left + 0.64 * view.width
    keys = ("Zone border", "Place for a set", "Cabin or house")
    for number, text in enumerate(keys):
        y = foot + (34 + 26 * number) * ink
        _symbol(draw, number, (x + 16 * ink, y), ink)
        draw.text((x + 42 * ink, y), text, INK, font(15 * ink), anchor="lm")
    _north(draw, (right - 16 * ink, foot + 56 * ink), ink)


def _sample(
    draw: ImageDraw.ImageDraw, at: tuple[float, float], dash: tuple[float, float], ink: float
) -> None:
    x, y = at
    on, off = dash
    start = 0.0
    while start < 60:
        end = min(start + on, 60)
        draw.line((x + start * ink, y, x + end * ink, y), ACCENT, max(round(2.4 * ink), 1))
        start = end + off if off else 60


def _symbol(draw: ImageDraw.ImageDraw, kind: int, at: tuple[float, float], ink: float) -> None:
    x, y = at
    if kind == 0:
        for start in (-16, 1):
            draw.line(
                (x + start * ink, y, x + (start + 11) * ink, y), INK, max(round(2.2 * ink), 1)
            )
    elif kind == 1:
        for radius, colour in ((4.4, INK), (3.0, LIGHT.paper)):
            r = radius * ink
            draw.ellipse((x - r, y - r, x + r, y + r), colour)
    else:
        r = 2.6 * ink
        draw.rectangle((x - r, y - r, x + r, y + r), LIGHT.building)


def _scale_bar(
    draw: ImageDraw.ImageDraw, terrain: Terrain, view: View, at: tuple[float, float]
) -> None:
    """Five kilometres at the middle of the map, in one-kilometre steps."""
    km = 1000 / metres_per_pixel(terrain.frame.lat, view.zoom)
    (x, y), tall = at, 7 * view.ink
    for step in range(5):
        box = (x + step * km, y, x + (step + 1) * km, y + tall)
        draw.rectangle(box, INK if step % 2 == 0 else LIGHT.paper, INK)
    for step in (0, 1, 5):
        text = f"{step} km" if step == 5 else str(step)
        draw.text((x + step * km, y - 5 * view.ink), text, INK, font(13 * view.ink), anchor="ms")


def _north(draw: ImageDraw.ImageDraw, at: tuple[float, float], ink: float) -> None:
    x, y = at
    shape: Floats = np.array([[0, -30], [9, 14], [0, 6], [-9, 14]]) * ink + (x, y)
    draw.polygon([(float(px), float(py)) for px, py in shape], fill=INK)
    draw.text((x, y + 34 * ink), "N", INK, font(15 * ink), anchor="ms")
