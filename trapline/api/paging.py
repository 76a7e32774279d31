"""Lists are paged by key: UUIDv7 keys sort by time of making, so a page never shifts."""

from typing import Any
from uuid import UUID

from rest_framework.exceptions import NotFound
from rest_framework.pagination import Cursor, CursorPagination
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.ground.errors import Problem, Refused

_LINK = {"type": ["string", "null"], "format": "uri"}
LINKS = {"next": _LINK, "previous": _LINK}


class ByKey(CursorPagination):
    """A cursor over the row's key; a cursor or limit that makes no sense is refused."""

    ordering = "-id"
    page_size = 100
    max_page_size = 500
    page_size_query_param = "limit"

    def get_page_size(self, request: Request) -> int:
        text = request.query_params.get("limit", str(self.page_size))
        if not (text.isascii() and text.isdecimal() and 1 <= int(text[:9]) <= self.max_page_size):
            raise Refused(Problem("limit", "limit", {"most": self.max_page_size}))
        return int(text)

    def get_ordering(self, request: Request, queryset: Any, view: Any) -> tuple[str, ...]:
        return (getattr(view, "ordering", self.ordering),)

    def decode_cursor(self, request: Request) -> Cursor | None:
        if "cursor" not in request.query_params:
            return None
        try:
            cursor = super().decode_cursor(request)
            if cursor is None:
                raise ValueError
            if cursor.position is not None:
                UUID(str(cursor.position))
        except (NotFound, ValueError):
            raise Refused(Problem("cursor", "cursor")) from None
        return cursor

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        rows = {"results": schema}
        return {"type": "object", "required": [*rows, *LINKS], "properties": {**LINKS, **rows}}

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        most = self.max_page_size
        limit = {"type": "integer", "minimum": 1, "maximum": most, "default": self.page_size}
        return [
            {"name": "cursor", "in": "query", "required": False, "schema": {"type": "string"},
             "description": "From `next` or `previous` of another page."},
            {"name": "limit", "in": "query", "required": False, "schema": limit,
             "description": "How many on a page."},
        ]  # fmt: skip


class FeaturesByKey(ByKey):
    """The same for places: a FeatureCollection whose `next` and `previous` are foreign members."""

    def get_paginated_response(self, data: Any) -> Response:
        links = {"next": self.get_next_link(), "previous": self.get_previous_link()}
        return Response({**data, **links})

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        links = {"type": "object", "required": [*LINKS], "properties": LINKS}
        return {"allOf": [schema, links]}
