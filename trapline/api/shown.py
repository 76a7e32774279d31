"""How rows are shown: read-only serializers. What is written goes through acts."""

from typing import Any

from django.db.models import TextChoices
from rest_framework.serializers import CharField, ChoiceField, ModelSerializer, Serializer
from rest_framework_gis.serializers import GeoFeatureModelSerializer


class _ReadOnly:
    def get_extra_kwargs(self) -> dict[str, dict[str, Any]]:
        return {name: {"read_only": True} for name in self.Meta.fields}  # type: ignore[attr-defined]


class Shown(_ReadOnly, ModelSerializer[Any]):
    """A row as JSON. Links to other rows are their ids."""


class ShownPlace(_ReadOnly, GeoFeatureModelSerializer):  # type: ignore[misc]
    """A row with a place, as a GeoJSON Feature (RFC 7946)."""


class CodeOrNull(ChoiceField):
    """A code; null when nothing was said (a column holds an empty text then)."""

    def __init__(self, words: type[TextChoices], **more: Any) -> None:
        super().__init__(choices=words.choices, read_only=True, allow_null=True, **more)

    def to_representation(self, value: Any) -> Any:
        return super().to_representation(value) if value else None


class Place:
    """What every Meta of a ShownPlace shares: its place is `place`."""

    geo_field = "place"


class ProblemTold(Serializer[Any]):
    """One thing wrong: where, which, and its sentence."""

    field = CharField()
    code = CharField()
    detail = CharField()
