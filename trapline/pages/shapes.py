"""A shape typed as lines of latitude and longitude, or pasted as GeoJSON; the map writes lines."""

import json
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from trapline.ground.errors import Refused
from trapline.ground.words import sentence
from trapline.land.formats import geojson_in

Geometry = dict[str, Any]
POINT, PATH, AREA = "point", "path", "area"
LEAST = {POINT: 1, PATH: 2, AREA: 4}  # of places; an area's first stands again at its end
AREAS = ("Polygon", "MultiPolygon")


class ShapeField(forms.Field):
    """One place a line, `latitude, longitude` in degrees; an empty line begins another part.

    Or GeoJSON. Value: a GeoJSON geometry or None. `drawn` says what lines of places make: a point,
    a path or an area, whose rings are closed by themselves.
    """

    widget = forms.Textarea(attrs={"rows": 6, "spellcheck": "false", "data-shape": ""})
    default_error_messages = {
        "place": _(
            "Line %(line)s: give latitude and longitude in degrees, as in 61.9012, -128.4031."
        ),
        "range": _("Line %(line)s: latitude lies in -90 to 90, longitude in -180 to 180."),
        POINT: _("A point is one place."),
        PATH: _("A path needs two places or more, one a line."),
        AREA: _("An area needs three places or more, one a line."),
        "no_area": _("There is no area in this GeoJSON. A parcel is a polygon, or several."),
    }

    def __init__(self, *, drawn: str = AREA, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.drawn = drawn

    def to_python(self, value: Any) -> Geometry | None:
        text = str(value or "").strip()
        if not text:
            return None
        return self.from_geojson(text.encode()) if text[0] in "{[" else self._from_lines(text)

    def from_geojson(self, raw: bytes) -> Geometry:
        """The geometry of a GeoJSON text; for an area, all its polygons as one."""
        try:
            found = [one.geometry for one in geojson_in.read(raw) if one.geometry is not None]
        except Refused as error:
            raise ValidationError(sentence(error.problems[0]), code="geojson") from None
        if self.drawn != AREA:
            if len(found) != 1:
                raise ValidationError(self.error_messages[self.drawn], code=self.drawn)
            return _flat(found[0])
        areas = [_flat(one) for one in found if one.get("type") in AREAS]
        if not areas:
            raise ValidationError(self.error_messages["no_area"], code="no_area")
        return areas[0] if len(areas) == 1 else _together(areas)

    def _from_lines(self, text: str) -> Geometry:
        parts: list[list[list[float]]] = [[]]
        for number, line in enumerate(text.splitlines(), start=1):
            if line.strip():
                parts[-1].append(self._place(line, number))
            elif parts[-1]:
                parts.append([])
        drawn = [part for part in parts if part]
        if self.drawn == AREA:
            drawn = [part if part[0] == part[-1] else [*part, part[0]] for part in drawn]
        if any(len(part) < LEAST[self.drawn] for part in drawn):
            raise ValidationError(self.error_messages[self.drawn], code=self.drawn)
        if self.drawn == AREA:
            return _one_or_many("Polygon", [[ring] for ring in drawn])
        if self.drawn == PATH:
            return _one_or_many("LineString", drawn)
        if len(drawn) > 1 or len(drawn[0]) > 1:
            raise ValidationError(self.error_messages[POINT], code=POINT)
        return {"type": "Point", "coordinates": drawn[0][0]}

    def _place(self, text: str, number: int) -> list[float]:
        parts = text.replace(";", ",").split(",") if "," in text or ";" in text else text.split()
        try:
            lat, lon = (float(part) for part in parts)
        except ValueError:
            message = self.error_messages["place"] % {"line": number}
            raise ValidationError(message, code="place") from None
        if not (-90 <= lat <= 90 and -180 <= lon <= 180):
            raise ValidationError(self.error_messages["range"] % {"line": number}, code="range")
        return [lon, lat]

    def prepare_value(self, value: Any) -> Any:
        return as_text(value) if isinstance(value, dict) else value


def as_text(shape: Geometry) -> str:
    """A geometry as the field takes it: lines of places, or GeoJSON where those cannot say it."""
    kind, places = shape["type"], shape["coordinates"]
    if kind == "Point":
        return _lines([places])
    if kind == "LineString":
        return _lines(places)
    if kind == "MultiLineString":
        return "\n\n".join(_lines(part) for part in places)
    polygons = [places] if kind == "Polygon" else places
    if all(len(rings) == 1 for rings in polygons):
        return "\n\n".join(_lines(rings[0][:-1]) for rings in polygons)
    return json.dumps({"type": kind, "coordinates": places})  # it has holes


def drawn_of(shape: Geometry) -> str:
    """Whether a geometry is a point, a path or an area."""
    if shape["type"] in AREAS:
        return AREA
    return POINT if shape["type"] == "Point" else PATH


def _one_or_many(kind: str, parts: list[Any]) -> Geometry:
    if len(parts) == 1:
        return {"type": kind, "coordinates": parts[0]}
    return {"type": f"Multi{kind}", "coordinates": parts}


def _lines(places: Any) -> str:
    return "\n".join(f"{one[1]:.6f}, {one[0]:.6f}" for one in places)


def _flat(shape: Geometry) -> Geometry:
    return {"type": shape.get("type"), "coordinates": shape.get("coordinates")}


def _together(areas: list[Geometry]) -> Geometry:
    polygons: list[Any] = []
    for one in areas:
        whole = one["coordinates"]
        polygons += [whole] if one["type"] == "Polygon" else whole
    return {"type": "MultiPolygon", "coordinates": polygons}
