"""How rows are shown: read-only serializers. What is written goes through acts."""

from typing import Any

from rest_framework.serializers import ModelSerializer
from rest_framework_gis.serializers import GeoFeatureModelSerializer


class _ReadOnly:
    def get_extra_kwargs(self) -> dict[str, dict[str, Any]]:
        return {name: {"read_only": True} for name in self.Meta.fields}  # type: ignore[attr-defined]


class Shown(_ReadOnly, ModelSerializer[Any]):
    """A row as JSON. Links to other rows are their ids."""


class ShownPlace(_ReadOnly, GeoFeatureModelSerializer):  # type: ignore[misc]
    """A row with a place, as a GeoJSON Feature (RFC 7946)."""


class Place:
    """What every Meta of a ShownPlace shares: its place is `place`."""

    geo_field = "place"
