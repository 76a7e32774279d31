"""What the API says of itself: its schema, its kinds of problem; and the 404 of all else."""

from functools import cache
from typing import Any

from django.utils.translation import get_language
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiJsonRenderer
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

import trapline.api
from trapline.api.base import View
from trapline.api.problems import STATUS, WHERE
from trapline.api.rules import OPEN
from trapline.ground.errors import NotYours
from trapline.ground.words import title


class ProblemKind(serializers.Serializer[Any]):
    """A kind of problem, as its `type` names it."""

    type = serializers.CharField()
    title = serializers.CharField()
    status = serializers.IntegerField()


class Kind(View):
    """What a problem's `type` stands for."""

    rules = {"GET": OPEN}

    @extend_schema(responses=ProblemKind)
    def get(self, request: Request, **kwargs: Any) -> Response:
        kind: str = kwargs["kind"]
        if kind not in STATUS:
            raise NotYours
        said = {"type": f"{WHERE}{kind}/", "title": title(kind), "status": STATUS[kind]}
        return Response(ProblemKind(said).data)


@cache
def document(language: str) -> dict[str, Any]:
    """The OpenAPI document; it does not change while the program runs."""
    generator = SchemaGenerator()  # type: ignore[no-untyped-call]
    drawn: dict[str, Any] = generator.get_schema(request=None, public=True)  # type: ignore[no-untyped-call]
    drawn["info"]["description"] = trapline.api.__doc__
    return drawn


class Schema(View):
    """The OpenAPI 3.1 document."""

    rules = {"GET": OPEN}
    authentication_classes = ()
    renderer_classes = [OpenApiJsonRenderer, JSONRenderer]

    @extend_schema(exclude=True)
    def get(self, request: Request, **kwargs: Any) -> Response:
        return Response(document(get_language() or ""))


class Nothing(View):
    """Any other address: the same 404 as for what is forbidden."""

    authentication_classes = ()
    permission_classes = []

    @extend_schema(exclude=True)
    def dispatch(self, request: Any, *args: Any, **kwargs: Any) -> Any:
        return super().dispatch(request, *args, **kwargs)

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        raise NotYours
