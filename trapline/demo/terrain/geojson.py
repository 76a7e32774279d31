"""Scenes in metres to features in longitude and latitude (GeoJSON, RFC 7946)."""

from . import names
from .frame import Floats, Frame
from .model import Feature, Geometry, SetPlace
from .outline import area, inside
from .recipes import BEAVER
from .scene import Scene
from .setplaces import Spot
from .settled import Settled
from .shores import Body


def set_places(frame: Frame, spots: list[Spot], north: Floats) -> list[SetPlace]:
    """The places with their zone, looked up as it will be stored: in rounded degrees."""
    in_north = inside(frame.lonlat([spot.xy for spot in spots]), frame.lonlat(north))
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


def features(frame: Frame, scene: Scene, settled: Settled, spots: list[Spot]) -> list[Feature]:
    found = [
        feature(frame, "cabin", names.CABIN, point(frame, settled.cabin)),
        feature(frame, "bridge", "Bridge", point(frame, settled.bridge)),
        feature(frame, "road", names.ROAD, line_string(frame, settled.road)),
    ]
    for name, path in zip(names.TRAILS, settled.trails, strict=True):
        found.append(feature(frame, "trail", name, line_string(frame, path)))
    for name, house in zip(names.DWELLINGS, settled.dwellings, strict=False):
        found.append(feature(frame, "dwelling", name, point(frame, house)))
    for name, (top, height) in zip(names.PEAKS, settled.peaks, strict=False):
        found.append(feature(frame, "peak", name, point(frame, top), height_m=round(height)))
    for spot in spots:
        if spot.recipe is BEAVER:
            found.append(feature(frame, "lodge", "Lodge", point(frame, spot.xy + 9.0)))
    return found + _waters(frame, scene)


def _waters(frame: Frame, scene: Scene) -> list[Feature]:
    found = []
    for rank, creek in enumerate(scene.creeks):
        name = names.CREEKS[rank] if rank < len(names.CREEKS) else ""
        km2 = round(float(creek.km2[-1]), 2)
        line = line_string(frame, creek.xy)
        found.append(feature(frame, "water", name, line, of="creek", catchment_km2=km2))
    for rank, lake in enumerate(scene.lakes):
        name = names.LAKES[rank] if rank < len(names.LAKES) else ""
        found.append(_body(frame, "water", name, lake, of="lake", level_m=round(lake.level_m, 1)))
    for rank, marsh in enumerate(scene.marshes):
        name = names.MARSHES[rank] if rank < len(names.MARSHES) else ""
        found.append(_body(frame, "marsh", name, marsh))
    return found


def _body(frame: Frame, kind: str, name: str, body: Body, **facts: float | str) -> Feature:
    return feature(frame, kind, name, polygon(frame, body.rings), **facts)


def feature(
    frame: Frame, kind: str, name: str, geometry: Geometry, **facts: float | str
) -> Feature:
    return Feature(kind, name, geometry, dict(facts))


def point(frame: Frame, xy: Floats) -> Geometry:
    return {"type": "Point", "coordinates": frame.lonlat(xy).tolist()}


def line_string(frame: Frame, xy: Floats) -> Geometry:
    return {"type": "LineString", "coordinates": frame.lonlat(xy).tolist()}


def polygon(frame: Frame, rings: tuple[Floats, ...]) -> Geometry:
    """RFC 7946: the outer ring runs anticlockwise on the map, holes clockwise."""
    turned = []
    for number, ring in enumerate(rings):
        clockwise = area(ring) > 0
        turned.append(ring[::-1] if clockwise == (number == 0) else ring)
    return {"type": "Polygon", "coordinates": [frame.lonlat(ring).tolist() for ring in turned]}
