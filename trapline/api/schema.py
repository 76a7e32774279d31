"""The OpenAPI document: every operation with its problems, named after its noun."""

from typing import Any

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.plumbing import ResolvedComponent

from trapline.api.problems import MEDIA_TYPE, STATUS
from trapline.api.rules import OPEN, rule_of

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
