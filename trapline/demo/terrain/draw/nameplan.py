"""Which names stand on the map at a zoom, and where; no two overlap."""

from collections.abc import Iterator
from math import log2
from typing import Any

import numpy as np
from scipy.ndimage import distance_transform_edt

from ..cover import Kind
from ..frame import Floats
from ..model import Feature, Terrain
from .letters import Glyph, along_line, straight
from .tilemath import pixels

SIZES = {10: 9.5, 11: 10.5, 12: 11.5, 13: 12.5, 14: 13.5}
LAKES_AT = {10: 1, 11: 2, 12: 4, 13: 8, 14: 8}
PEAKS_AT = {10: 2, 11: 5, 12: 8, 13: 8, 14: 8}
CREEKS_AT = {11: 1, 12: 4, 13: 9, 14: 10}


Name = list[Glyph]  # in one piece or letter by letter


def plan(terrain: Terrain, zoom: float, ink: float = 1.0) -> list[Glyph]:
    """The glyphs of a zoom, in world pixels; `ink` enlarges them as it does in `View`.

    A name stands at the first of its places where it hides no symbol and no name set before it,
    and is left out where there is none.
    """
    shown = min(int(zoom - log2(ink)), 14)
    if shown not in SIZES:
        return []
    size = SIZES[shown] * ink
    chosen: list[Glyph] = []
    heights = _heights(terrain, zoom, size * 0.72) if shown >= 13 else []
    kinds = ("cabin", "dwelling", "peak") if shown >= 12 else ()
    signs = [_at(f, zoom) for kind in kinds for f in terrain.of(kind)]
    for places in (*_wanted(terrain, zoom, shown, size), *([[glyph]] for glyph in heights)):
        for name in places:
            hides = any(g.covers(sign) for g in name for sign in signs)
            if not hides and not any(g.overlaps(other) for g in name for other in chosen):
                chosen.extend(name)
                break
    return chosen


def _wanted(terrain: Terrain, zoom: float, shown: int, size: float) -> Iterator[list[Name]]:
    """The names that a zoom has room for, the weightiest first, each with its possible places."""
    water = [feature for feature in terrain.of("water") if feature.name]
    houses = terrain.of("dwelling")[:2] if shown >= 13 else ()
    for place in (*terrain.of("cabin"), *houses) if shown >= 11 else ():
        yield _beside(place.name, size * 0.96, _at(place, zoom))
    for peak in terrain.of("peak")[: PEAKS_AT.get(shown, 0)]:
        yield [_peak(peak, _at(peak, zoom), size)]
    for lake in [f for f in water if f.facts["of"] == "lake"][: LAKES_AT.get(shown, 0)]:
        ring = pixels(np.array(lake.geometry["coordinates"][0]), zoom)
        yield _in_or_by(lake.name, size, ring, _heart(terrain, lake, zoom))
    for creek in [f for f in water if f.facts["of"] == "creek"][: CREEKS_AT.get(shown, 0)]:
        yield _by_creek(creek, size * 0.96, zoom)
    for marsh in [f for f in terrain.of("marsh") if f.name][: 2 if shown >= 12 else 0]:
        yield [[straight(marsh.name, size * 0.96, _heart(terrain, marsh, zoom), "water_name")]]


def _beside(text: str, size: float, point: Floats) -> list[Name]:
    """Under a symbol, over it, or to its right or left."""
    aside = straight(text, size, point, "name").text.width / 2 + size * 0.6
    offsets = ((0, size * 1.3), (0, -size * 1.3), (aside, 0), (-aside, 0))
    return [[straight(text, size, point + np.array(off), "name")] for off in offsets]


def _peak(peak: Feature, point: Floats, size: float) -> Name:
    """A hill's name above its triangle and its height below."""
    over, under = point - np.array([0, size * 1.25]), point + np.array([0, size * 1.15])
    height = f"{float(peak.facts['height_m']):.0f}"
    return [
        straight(peak.name, size, over, "name"),
        straight(height, size * 0.8, under, "height_name"),
    ]


def _at(feature: Feature, zoom: float) -> Floats:
    return pixels(np.array(feature.geometry["coordinates"]), zoom)


def _heart(terrain: Terrain, body: Feature, zoom: float) -> Floats:
    """The point of a lake or marsh farthest from its shore, in world pixels."""
    ring = terrain.frame.metres(np.array(body.geometry["coordinates"][0]))
    rows, cols = terrain.frame.cells(ring)
    part = np.s_[rows.min() : rows.max() + 1, cols.min() : cols.max() + 1]
    kind = Kind.MARSH if body.kind == "marsh" else Kind.LAKE
    deep = distance_transform_edt(np.pad(terrain.cover[part] == kind, 1))[1:-1, 1:-1]
    row, col = np.unravel_index(int(np.argmax(deep)), deep.shape)
    middle = terrain.frame.centres(row + rows.min(), col + cols.min())
    return pixels(terrain.frame.lonlat(middle), zoom)


def _in_or_by(text: str, size: float, ring: Floats, heart: Floats) -> list[Name]:
    """On the water where it has room, else under it or over it."""
    low, high = ring.min(axis=0), ring.max(axis=0)
    on_water = straight(text, size, heart, "water_name")
    if on_water.text.width < 0.8 * (high[0] - low[0]):
        return [[on_water]]
    middle = (low[0] + high[0]) / 2
    spots = ((middle, high[1] + size), (middle, low[1] - size))
    return [[straight(text, size * 0.92, np.array(spot), "water_name")] for spot in spots]


def _by_creek(creek: Feature, size: float, zoom: float) -> list[Name]:
    """Along the lower half of the creek, or wherever else along it there is room."""
    line = pixels(np.array(creek.geometry["coordinates"]), zoom)
    places = []
    for first, last in ((0.45, 0.85), (0.3, 0.95), (0.1, 1.0), (0.1, 0.5)):
        part = line[int(first * len(line)) : max(int(last * len(line)), 2)]
        name = along_line(creek.name, size, part, "water_name", size * 0.75)
        if len(part) > 6 and name:
            places.append(name)
    return places


def _heights(terrain: Terrain, zoom: float, size: float) -> list[Glyph]:
    """Heights on the 100 m contours, about one each 2 km, reading along the line."""
    height: Any = terrain.elevation
    down, across = np.gradient(height.astype(np.float64), terrain.frame.cell_m)
    steep = np.hypot(down, across)
    gap = np.abs((height + 50) % 100 - 50) / np.maximum(steep, 0.01)
    fit = np.where((steep > 0.12) & (steep < 0.45) & (terrain.water == 0), gap, np.inf)
    every, found = 50, []
    for row in range(every // 2, fit.shape[0] - every // 2, every):
        for col in range(every // 2, fit.shape[1] - every // 2, every):
            window = fit[row - 20 : row + 20, col - 20 : col + 20]
            best = int(np.argmin(window))
            r, c = row - 20 + best // 40, col - 20 + best % 40
            if not window.ravel()[best] < 12:
                continue
            turn = np.degrees(np.arctan2(-across[r, c], -down[r, c]))
            turn = (turn + 90) % 180 - 90
            metres = round(float(height[r, c]) / 100) * 100
            point = pixels(terrain.frame.lonlat(terrain.frame.centres(r, c)), zoom)
            found.append(straight(str(metres), size, point, "height_name", float(turn)))
    return found
