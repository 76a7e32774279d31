"""The OpenAPI document: every operation with its problems, named after its noun."""

from typing import Any

from drf_spectacular.contrib.rest_framework_gis import GeoFeatureModelSerializerExtension
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.plumbing import ResolvedComponent

from trapline.api.base import Geo
from trapline.api.problems import MEDIA_TYPE, STATUS
from trapline.api.rules import OPEN, rule_of
from trapline.ground.words_of_cautions import LOCAL, cautions_of

PROBLEM: dict[str, Any] = {
    "type": "object",
    "description": "Problem details (RFC 9457).",
    "required": ["type", "title", "status", "detail", "problems"],
    "properties": {
        "type": {"type": "string", "format": "uri-reference"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string", "description": "What is wrong and what to do."},
        "problems": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["field", "code", "detail"],
                "properties": {
                    "field": {"type": "string", "description": "A dotted path in what was sent."},
                    "code": {"type": "string"},
                    "detail": {"type": "string"},
                },
            },
        },
    },
}
_WORDS = {
    "refused": "Cannot be read; each problem names its field.",
    "not_signed_in": "No token, or one that no longer holds.",
    "not_allowed": "A session without its CSRF token.",
    "not_found": "Nothing here, or not yours to see: the two look the same.",
    "not_acceptable": "No such form of answer.",
    "conflict": "The id was used before, with other content.",
    "too_large": "More bytes than are taken.",
    "media_type": "No such form of request.",
    "cannot_apply": "Well formed, but it cannot be done as things stand.",
    "locked": "Too many failed attempts.",
}
_ALWAYS = ("refused", "not_found", "not_acceptable")
_WITH_CALLER = ("not_signed_in", "not_allowed")
_WITH_BODY = ("conflict", "too_large", "media_type", "cannot_apply", "locked")


class Documented(AutoSchema):
    """Adds to each operation the problems it may answer."""

    def get_operation_id(self) -> str:
        tokens = [token.replace("-", "_").replace(".", "_") for token in self._tokenize_path()]
        verb = "list" if self.method == "GET" and self._is_list_view() else self.method.lower()
        by_id = "_one" if self.path.endswith("}/") else ""
        return "_".join([verb, *(tokens or ["root"])]) + by_id

    def get_description(self) -> str:  # type: ignore[override]
        """The view's own words, and the cautions under which the act is done."""
        said = super().get_description()
        call = getattr(self.view, self.method.lower(), None)
        found = cautions_of(getattr(call, "act_kind", ""))
        if not found:
            return str(said)
        notes = "\n".join(f"- **{one.title}.** {one.text}" for one in found)
        return f"{said}\n\n{notes}\n\n{LOCAL}"

    def map_renderers(self, attribute: str) -> list[Any]:
        if attribute == "format" and not hasattr(self.view, "wants_csv"):
            return []  # the form of an answer is asked for by Accept
        if isinstance(self.view, Geo):
            reading = self.method == "GET"
            view = self.view
            renderers = view.reading_renderers if reading else view.renderer_classes
            return [getattr(one, attribute) for one in renderers]
        return list(super().map_renderers(attribute))

    def _get_response_bodies(self, direction: Any = "response") -> dict[str, Any]:
        bodies: dict[str, Any] = super()._get_response_bodies(direction)
        kinds = list(_ALWAYS)
        if rule_of(self.view, self.method) is not OPEN:
            kinds += _WITH_CALLER
        if self.method != "GET":
            kinds += _WITH_BODY
        component = ResolvedComponent(  # type: ignore[no-untyped-call]
            "Problem", ResolvedComponent.SCHEMA, PROBLEM, "Problem"
        )
        self.registry.register_on_missing(component)
        for kind in kinds:
            bodies[str(STATUS[kind])] = {
                "description": _WORDS[kind],
                "content": {MEDIA_TYPE: {"schema": component.ref}},
            }
        return bodies


class FeatureSchema(GeoFeatureModelSerializerExtension):  # type: ignore[no-untyped-call]
    """A Feature with all its members, whose geometry may be null where the column may."""

    target_class = "trapline.api.shown.ShownPlace"
    match_subclasses = True
    priority = 1

    def map_geo_feature_model_serializer(
        self, serializer: Any, base_schema: dict[str, Any]
    ) -> dict[str, Any]:
        feature = super().map_geo_feature_model_serializer
        shown: dict[str, Any] = feature(serializer, base_schema)  # type: ignore[no-untyped-call]
        inside = shown["properties"]
        if serializer.Meta.model._meta.get_field(serializer.Meta.geo_field).null:
            inside["geometry"] = {"oneOf": [inside["geometry"], {"type": "null"}]}
        inside["properties"]["required"] = sorted(inside["properties"]["properties"])
        return {**shown, "required": sorted(inside)}


def plain_discriminators(result: dict[str, Any], **_more: Any) -> dict[str, Any]:
    """Drop what pydantic writes of nested unions: OpenAPI maps names to texts only."""
    todo: list[Any] = [result["components"]]
    while todo:
        here = todo.pop()
        if isinstance(here, dict):
            mapping = here.get("discriminator", {}).get("mapping", {})
            if any(not isinstance(one, str) for one in mapping.values()):
                del here["discriminator"]
            todo += here.values()
        elif isinstance(here, list):
            todo += here
    return result
