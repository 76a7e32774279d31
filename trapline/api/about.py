"""What the API says of itself: its schema, its kinds of problem; and the 404 of all else."""

from typing import Any

from django.utils.decorators import method_decorator
from django.views.decorators.cache import cache_control
from django.views.decorators.csrf import csrf_exempt
from drf_spectacular.utils import extend_schema
from drf_spectacular.views import SpectacularJSONAPIView
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.base import View
from trapline.api.problems import STATUS, WHERE
from trapline.api.rules import OPEN, Stated
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


@method_decorator(cache_control(public=True, max_age=300), name="dispatch")
class Schema(SpectacularJSONAPIView):
    """The OpenAPI 3.1 document."""

    rules = {"GET": OPEN}
    permission_classes = [Stated]
    authentication_classes: Any = ()
    metadata_class: Any = None


@method_decorator(csrf_exempt, name="dispatch")
class Nothing(View):
    """Any other address: the same 404 as for what is forbidden."""

    authentication_classes = ()
    permission_classes = []

    @extend_schema(exclude=True)
    def dispatch(self, request: Any, *args: Any, **kwargs: Any) -> Any:
        return super().dispatch(request, *args, **kwargs)

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        raise NotYours
