"""`build(seed)`: the whole valley from one number."""

import numpy as np

from . import names
from .cover import grow
from .frame import AREA
from .geojson import feature, features, line_string, polygon, set_places
from .land import parcels, zones
from .model import Terrain
from .noise import fractal
from .outline import length
from .relief import landscape
from .scene import lay_out
from .setplaces import choose
from .settled import settle_people
from .shores import creeks, crop, lakes, marshes
from .traplines import traplines
from .water import settle

MARGIN = 40  # cells simulated around the area, so that creeks come in and go out at its edges


def build(seed: int) -> Terrain:
    """The invented valley of a seed: the same seed gives the same bytes.

    About 24 km x 24 km in 40 m cells. Errors: ValueError for a negative seed (numpy's).
    """
    rng = np.random.default_rng(seed)
    frame, cell = AREA, AREA.cell_m
    height = landscape(rng, frame.rows + 2 * MARGIN, cell, MARGIN)
    water = crop(settle(rng, height, cell), MARGIN, cell)
    scene = lay_out(
        frame,
        water,
        grow(rng, water, cell),
        creeks(water, cell),
        lakes(water, cell),
        marshes(water, cell),
        fractal(rng, water.surface.shape, cell, longest_m=1200, slope=1.2),
    )
    settled = settle_people(rng, scene)
    lines = traplines(scene, settled)
    spots = choose(rng, scene, lines)
    north, south = zones(scene)
    blocks = [
        feature(frame, "parcel", p.name, polygon(frame, (p.ring,)), holder=p.holder)
        for p in parcels(rng, scene, settled)
    ]
    standing = np.where(water.lakes > 0, 2, np.where(water.creek, 1, 0))
    return Terrain(
        seed=seed,
        frame=frame,
        elevation=water.surface.astype(np.float32),
        depth=water.depth.astype(np.float32),
        water=standing.astype(np.uint8),
        receiver=water.receiver.reshape(water.surface.shape).astype(np.int32),
        catchment=water.catchment.astype(np.float32),
        cover=scene.cover.kind,
        features=tuple(features(frame, scene, settled, spots)),
        lines=tuple(
            feature(frame, "line", name, line_string(frame, path), length_m=length(path))
            for name, path in zip(names.LINES, lines, strict=True)
        ),
        sets=tuple(set_places(frame, spots, north)),
        zones=tuple(
            feature(frame, "zone", name, polygon(frame, (ring,)), code=code)
            for (code, name), ring in zip(names.ZONES, (north, south), strict=True)
        ),
        parcels=tuple(blocks),
        scene=scene,
    )
