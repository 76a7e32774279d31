"""What every view of the API stands on: who calls, in which team, by which rule."""

from contextlib import ExitStack
from typing import Any, ClassVar
from uuid import UUID

from django.core.exceptions import ImproperlyConfigured
from django.db.models import Model, QuerySet
from django.http.response import HttpResponseBase
from rest_framework.generics import GenericAPIView
from rest_framework.mixins import ListModelMixin, RetrieveModelMixin
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.filtering import Backend
from trapline.api.paging import ByKey, FeaturesByKey
from trapline.api.parsing import StrictJson
from trapline.api.rendering import GeoJson
from trapline.api.rules import Rules, Stated, meets, rule_of
from trapline.ground.errors import NotYours, Problem, Refused
from trapline.ground.scope import team_scope
from trapline.people.rights import Actor, access_team


class View(GenericAPIView[Any]):
    """A view outside any team. `rules` states for each method who may call it."""

    rules: ClassVar[Rules] = {}
    permission_classes = [Stated]
    parser_classes = [StrictJson]
    metadata_class: Any = None
    filter_backends: Any = ()
    pagination_class: Any = None

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        self.enter(request, **kwargs)
        names = self.known_parameters()
        for name, values in request.query_params.lists():
            if name not in names:
                raise Refused(Problem(name, "no_such_filter", {"filters": sorted(names)}))
            if len(values) != 1 or not values[0]:
                raise Refused(Problem(name, "filter_value"))

    def enter(self, request: Request, **kwargs: Any) -> None:
        """What has to be known of the caller before anything else is looked at."""

    def known_parameters(self) -> set[str]:
        """The query parameters that the address takes. Any other is refused, not ignored."""
        return set()

    @property
    def allowed_methods(self) -> list[str]:
        """For the Allow header: the methods that have a rule."""
        return list(self.rules)


class TeamView(View):
    """A view under teams/<team>/. One statement finds the caller's membership.

    No such team, not a member, or a role that is not enough: the same 404.
    """

    actor: Actor

    def dispatch(self, request: Any, *args: Any, **kwargs: Any) -> HttpResponseBase:
        with ExitStack() as self._scope:
            return super().dispatch(request, *args, **kwargs)

    def enter(self, request: Request, **kwargs: Any) -> None:
        self.actor = access_team(request.user, kwargs["team"])
        if not meets(self.actor, rule_of(self, request.method)):
            raise NotYours
        self._scope.enter_context(team_scope(self.actor.team))

    @property
    def own(self) -> UUID | None:
        """Whose sets the caller sees: a member their own, who leads all (None)."""
        return None if self.actor.leads else self.actor.member


class Rows(TeamView):
    """Rows of one kind: `rows` gives those that the caller may see, `model` is theirs."""

    model: ClassVar[type[Model]]

    def rows(self) -> QuerySet[Any]:
        """The rows that the caller may see. One statement when they are read."""
        raise ImproperlyConfigured

    def get_queryset(self) -> QuerySet[Any]:
        if getattr(self, "swagger_fake_view", False):  # the schema is drawn without a caller
            return self.model._base_manager.none()
        return self.rows()


class Geo(View):
    """What is read here is GeoJSON; what became of an act is plain JSON."""

    reading_renderers: ClassVar = [GeoJson, JSONRenderer]

    def get_renderers(self) -> list[Any]:
        reading = self.request.method in ("GET", "HEAD")
        return [one() for one in (self.reading_renderers if reading else self.renderer_classes)]


class List(ListModelMixin, Rows):
    """A filtered list, a page at a time."""

    pagination_class = ByKey
    filter_backends = (Backend,)
    filterset_class: Any = None
    ordering: str = "-id"

    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return self.list(request, *args, **kwargs)

    def known_parameters(self) -> set[str]:
        if self.request.method not in ("GET", "HEAD"):
            return set()
        filters = self.filterset_class.base_filters if self.filterset_class is not None else ()
        return {"cursor", "limit", *filters}


class FeatureList(Geo, List):
    """A list of what has a place: a GeoJSON FeatureCollection."""

    pagination_class = FeaturesByKey


class One(RetrieveModelMixin, Rows):
    """One row by its id. Unknown and forbidden: the same 404."""

    lookup_url_kwarg = "id"

    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return self.retrieve(request, *args, **kwargs)


class FeatureOne(Geo, One):
    """One row that has a place: a GeoJSON Feature."""
