"""What is drawn with a pen: water, ways, houses, hilltops and the sedge of the marsh."""

from dataclasses import dataclass

import numpy as np
from PIL import Image

from ..cover import Kind
from ..frame import Floats
from ..model import Terrain
from .pen import Pen
from .sampling import View
from .tilemath import degrees

LEAST_KM2 = {9: 45.0, 10: 18.0, 11: 8.0, 12: 3.5, 13: 1.5}
TUFT_PX = 26
LAYERS = ("tuft", "creek", "lake", "shore", "road", "core", "trail", "building", "neatline")


@dataclass(frozen=True)
class Shapes:
    """A terrain's shapes by kind, in degrees; creeks with their catchment in km²."""

    creeks: list[tuple[Floats, float]]
    lakes: list[list[Floats]]
    roads: list[Floats]
    trails: list[Floats]
    houses: list[Floats]
    peaks: list[Floats]
    frame: Floats


def shapes(terrain: Terrain) -> Shapes:
    """Read a terrain's features for drawing."""

    def arrays(kind: str) -> list[Floats]:
        return [np.array(feature.geometry["coordinates"]) for feature in terrain.of(kind)]

    water = terrain.of("water")
    west, south, east, north = terrain.bounds
    return Shapes(
        [
            (np.array(f.geometry["coordinates"]), float(f.facts["catchment_km2"]))
            for f in water
            if f.facts["of"] == "creek"
        ],
        [
            [np.array(ring) for ring in f.geometry["coordinates"]]
            for f in water
            if f.facts["of"] == "lake"
        ],
        arrays("road"),
        arrays("trail"),
        arrays("dwelling") + arrays("cabin"),
        arrays("peak"),
        np.array([[west, north], [east, north], [east, south], [west, south], [west, north]]),
    )


def masks(terrain: Terrain, drawn: Shapes, view: View) -> dict[str, Image.Image | None]:
    """One mask a layer of `LAYERS`, None where the layer is empty in this view."""
    pens = {name: Pen(view) for name in LAYERS}
    zoom, ink = view.shown, view.ink
    scale = float(np.clip(2 ** ((zoom - 14) * 0.55), 0.25, 2.0)) * ink
    least = LEAST_KM2.get(int(zoom), 1.1 if zoom >= 14 else 60.0)
    for line, km2 in drawn.creeks:
        if km2 >= least:
            _creek(pens["creek"], view.place(line), km2, scale)
    for rings in drawn.lakes:
        placed = [view.place(ring) for ring in rings]
        pens["lake"].area(placed)
        for ring in placed:
            pens["shore"].line(ring, 1.3 * ink * (scale / ink) ** 0.5)
    for line in drawn.roads:
        pens["road"].line(view.place(line), 4.6 * scale + ink)
        pens["core"].line(view.place(line), 2.6 * scale)
    for line in drawn.trails if zoom >= 11 else ():
        on, off = 7 * scale + 2 * ink, 3.5 * scale + 1.5 * ink
        pens["trail"].dashes(view.place(line), 1.5 * ink * (scale / ink) ** 0.6, on, off)
    if zoom >= 12:
        _tufts(pens["tuft"], terrain, view)
        _symbols(pens["building"], drawn, view)
    pens["neatline"].line(view.place(drawn.frame), 1.5 * ink)
    return {name: pen.coverage() for name, pen in pens.items()}


def _creek(pen: Pen, line: Floats, km2: float, scale: float) -> None:
    """Wider downstream: the creek in six pieces."""
    n = len(line)
    for piece in range(6):
        part = line[piece * n // 6 : (piece + 1) * n // 6 + 1]
        if len(part) > 1:
            share = (0.3 + 0.7 * (piece + 1) / 6) ** 2
            pen.line(part, (0.9 + 0.17 * np.sqrt(km2 * share)) * scale)


def _symbols(pen: Pen, drawn: Shapes, view: View) -> None:
    """Squares for houses and the cabin, triangles for hilltops."""
    square = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * 2.4 * view.ink
    for point in drawn.houses:
        pen.area([view.place(point) + square])
    triangle = np.array([[0, -4.5], [4.5, 3.2], [-4.5, 3.2]]) * view.ink
    for point in drawn.peaks:
        pen.area([view.place(point) + triangle])


def _tufts(pen: Pen, terrain: Terrain, view: View) -> None:
    """Sedge on the wet flats: small tufts on a shaken lattice fixed to the ground at each zoom."""
    step = round(TUFT_PX * view.ink)
    i0, j0 = int(view.left // step) - 1, int(view.top // step) - 1
    j, i = np.mgrid[j0 : j0 + view.height // step + 3, i0 : i0 + view.width // step + 3]
    shake = (i * 73856093) ^ (j * 19349663)
    x = i * step + (shake & 15) * view.ink - view.left
    y = j * step + ((shake >> 4) & 15) * view.ink - view.top
    spots = np.stack([x, y], axis=-1).reshape(-1, 2).astype(np.float64)
    place = degrees(spots + np.array([view.left, view.top]), view.zoom)
    west, south, east, north = terrain.bounds
    on_map = np.all((place > (west, south)) & (place < (east, north)), axis=1)
    wet = terrain.cover[terrain.frame.cells(terrain.frame.metres(place))] == Kind.MARSH
    strokes = [np.array([[-5.0, 0.0], [5.0, 0.0]])]
    strokes += [np.array([[lean, 0.0], [lean * 1.6, -4.0]]) for lean in (-2.2, 0.0, 2.2)]
    for spot in spots[on_map & wet]:
        for stroke in strokes:
            pen.line(spot + stroke * view.ink, 0.5 * view.ink)
