"""`build(seed)`: the whole valley from one number."""

import numpy as np

from . import names
from .cover import grow
from .frame import Floats, Frame
from .land import parcels, zones
from .model import Feature, Geometry, SetPlace, Terrain
from .noise import fractal
from .outline import area, inside, stations
from .relief import landscape
from .scene import Scene, lay_out
from .setplaces import BEAVER, Spot, choose
from .settled import Settled, settle_people
from .shores import Body, creeks, crop, lakes, marshes
from .traplines import traplines
from .water import settle

CENTRE = (-128.4, 61.9)  # a spot in the boreal forest; nothing on the map is really there
CELL_M = 40.0
SIDE = 600  # cells: 24 km
MARGIN = 40  # cells simulated around it, so that creeks come in and go out at the edges


def build(seed: int) -> Terrain:
    """The invented valley of a seed: the same seed gives the same bytes.

    About 24 km x 24 km in 40 m cells. Errors: ValueError for a negative seed (numpy's).
    """
    rng = np.random.default_rng(seed)
    frame = Frame(*CENTRE, CELL_M, SIDE, SIDE)
    height = landscape(rng, SIDE + 2 * MARGIN, CELL_M, MARGIN)
    water = crop(settle(rng, height, CELL_M), MARGIN)
    scene = lay_out(
        frame,
        water,
        grow(rng, water, CELL_M),
        creeks(water, CELL_M),
        lakes(water, CELL_M),
        marshes(water, CELL_M),
        fractal(rng, (SIDE, SIDE), CELL_M, longest_m=1200, slope=1.2),
    )
    settled = settle_people(rng, scene)
    lines = traplines(scene, settled)
    spots = choose(rng, scene, lines)
    north, south = zones(scene)
    blocks = [
        _feature(frame, "parcel", p.name, _polygon(frame, (p.ring,)), holder=p.holder)
        for p in parcels(rng, scene, settled)
    ]
    standing = np.where(water.lakes > 0, 2, np.where(water.creek, 1, 0))
    return Terrain(
        seed=seed,
        frame=frame,
        elevation=water.surface.astype(np.float32),
        depth=water.depth.astype(np.float32),
        water=standing.astype(np.uint8),
        receiver=water.receiver.reshape(SIDE, SIDE).astype(np.int32),
        catchment=water.catchment.astype(np.float32),
        cover=scene.cover.kind,
        features=tuple(_features(frame, scene, settled, spots)),
        lines=tuple(
            _feature(frame, "line", name, _line(frame, path), length_m=float(stations(path)[-1]))
            for name, path in zip(names.LINES, lines, strict=True)
        ),
        sets=tuple(_sets(frame, spots, north)),
        zones=tuple(
            _feature(frame, "zone", name, _polygon(frame, (ring,)), code=code)
            for (code, name), ring in zip(names.ZONES, (north, south), strict=True)
        ),
        parcels=tuple(blocks),
        scene=scene,
    )


def _sets(frame: Frame, spots: list[Spot], north: Floats) -> list[SetPlace]:
    in_north = inside(np.array([spot.xy for spot in spots]), north)
    found = []
    for number, (spot, is_north) in enumerate(zip(spots, in_north.tolist(), strict=True), start=1):
        lon, lat = frame.lonlat(spot.xy).tolist()
        recipe = spot.recipe
        found.append(
            SetPlace(
                number=number,
                line=names.LINES[spot.line],
                lon=lon,
                lat=lat,
                at_m=round(spot.at_m, 1),
                species=recipe.species,
                placement=recipe.placement,
                device_class=recipe.device_class,
                site=recipe.site,
                zone=names.ZONES[0 if is_north else 1][0],
            )
        )
    return found


def _features(
    frame: Frame, scene: Scene, settled: Settled, spots: list[Spot]
) -> list[Feature]:
    found = [
        _feature(frame, "cabin", names.CABIN, _point(frame, settled.cabin)),
        _feature(frame, "bridge", "Bridge", _point(frame, settled.bridge)),
        _feature(frame, "road", names.ROAD, _line(frame, settled.road)),
    ]
    for name, path in zip(names.TRAILS, settled.trails, strict=True):
        found.append(_feature(frame, "trail", name, _line(frame, path)))
    for name, point in zip(names.DWELLINGS, settled.dwellings, strict=False):
        found.append(_feature(frame, "dwelling", name, _point(frame, point)))
    for name, (point, height) in zip(names.PEAKS, settled.peaks, strict=False):
        found.append(_feature(frame, "peak", name, _point(frame, point), height_m=round(height)))
    for spot in spots:
        if spot.recipe is BEAVER:
            found.append(_feature(frame, "lodge", "Lodge", _point(frame, spot.xy + 9.0)))
    return found + _water_features(frame, scene)


def _water_features(frame: Frame, scene: Scene) -> list[Feature]:
    found = []
    for rank, creek in enumerate(scene.creeks):
        name = names.CREEKS[rank] if rank < len(names.CREEKS) else ""
        km2 = round(float(creek.km2[-1]), 2)
        line = _line(frame, creek.xy)
        found.append(_feature(frame, "water", name, line, of="creek", catchment_km2=km2))
    for rank, lake in enumerate(scene.lakes):
        name = names.LAKES[rank] if rank < len(names.LAKES) else ""
        found.append(_body(frame, "water", name, lake, of="lake", level_m=round(lake.level_m, 1)))
    for rank, marsh in enumerate(scene.marshes):
        name = names.MARSHES[rank] if rank < len(names.MARSHES) else ""
        found.append(_body(frame, "marsh", name, marsh))
    return found


def _body(frame: Frame, kind: str, name: str, body: Body, **facts: float | str) -> Feature:
    return _feature(frame, kind, name, _polygon(frame, body.rings), **facts)


def _feature(
    frame: Frame, kind: str, name: str, geometry: Geometry, **facts: float | str
) -> Feature:
    return Feature(kind, name, geometry, dict(facts))


def _point(frame: Frame, xy: Floats) -> Geometry:
    return {"type": "Point", "coordinates": frame.lonlat(xy).tolist()}


def _line(frame: Frame, xy: Floats) -> Geometry:
    return {"type": "LineString", "coordinates": frame.lonlat(xy).tolist()}


def _polygon(frame: Frame, rings: tuple[Floats, ...]) -> Geometry:
    """RFC 7946: the outer ring runs anticlockwise on the map, holes clockwise."""
    turned = []
    for number, ring in enumerate(rings):
        clockwise = area(ring) > 0
        turned.append(ring[::-1] if clockwise == (number == 0) else ring)
    return {"type": "Polygon", "coordinates": [frame.lonlat(ring).tolist() for ring in turned]}


