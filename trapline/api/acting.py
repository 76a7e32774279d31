"""A call that writes: it builds an act and takes it to the desk. One way for every noun.

The JSON body holds the act's own fields, flat, and beside them `act` (the client's id for it) and
`at` (when it was so; now, if not said). With `act` the call can be repeated: the first time 201,
the same again 200, the same id with other content 409. The id of the row it makes (`check`, `set`,
...) may be left out; then it is the act's.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Any, TypeVar
from uuid import UUID

from drf_spectacular.utils import OpenApiExample, extend_schema
from pydantic import BaseModel, ConfigDict, Field, ValidationError, create_model
from rest_framework import serializers
from rest_framework.response import Response
from rest_framework.reverse import reverse

from trapline.api import problems
from trapline.api.base import One, TeamView
from trapline.ground.errors import Held, NeedsReview, NotYours, Problem, Refused
from trapline.ground.ids import new_id
from trapline.record.desk import CONFLICT, KNOWN, Outcome, submit
from trapline.record.envelope import Moment, flat, problems_of
from trapline.record.kinds import KINDS

V = TypeVar("V", bound=Callable[..., Response])


class When(BaseModel):
    """What stands beside an act's own fields."""

    act: UUID | None = Field(None, description="Your id for this act; with it, `at` is needed.")
    at: Moment | None = Field(None, description="When it was so, with its offset; or now.")


class Taken(serializers.Serializer[Any]):
    """What became of the act."""

    act = serializers.UUIDField()
    state = serializers.CharField()
    id = serializers.UUIDField(allow_null=True, help_text="Of the row it made or is about.")
    url = serializers.CharField(allow_null=True, help_text="Where that row is read.")


def take_act(
    view: TeamView,
    kind: str,
    *,
    made: str = "",
    at_address: str = "",
    given: Mapping[str, Any] | None = None,
) -> Response:
    """Submit the request's body as an act of `kind` and answer what became of it.

    made: the field with the new row's id; at_address: the URL name under which that row is read;
    given: fields that the address says.
    """
    body, when = _split(view.request.data, given or {})
    act = when.act or new_id()
    if made:
        body.setdefault(made, str(act))
    body.update(given or {})
    try:
        # In one order of fields, so that the same content is the same bytes.
        outcome = submit(view.actor, kind, _sorted(body), act_id=act, at=when.at)
    except Refused as error:
        raise Refused(*(flat(one) for one in error.problems)) from None
    except Held as error:
        if given and error.field in given:
            raise NotYours from None
        raise
    except NeedsReview as error:
        error.problem = flat(error.problem)
        raise
    row = body.get(made) if made else next(iter((given or {}).values()), None)
    return _answer(view, outcome, row, at_address)


def put_act(view: One, kind: str, field: str, at_address: str) -> Response:
    """Say a row anew, whole, as an act of `kind` whose `field` names it. 404 for one not there."""
    view.get_object()
    return take_act(view, kind, given={field: view.kwargs["id"]}, at_address=at_address)


def _split(data: Any, given: Mapping[str, Any]) -> tuple[dict[str, Any], When]:
    if not isinstance(data, dict):
        raise Refused(Problem("body", "json_not_object"))
    for name in given:
        if name in data and name not in When.model_fields:
            raise Refused(Problem(name, "shape_extra_forbidden", {"said": ""}))
    body = {name: value for name, value in data.items() if name not in When.model_fields}
    try:
        when = When.model_validate({name: data.get(name) for name in When.model_fields})
    except ValidationError as error:
        raise problems_of(error) from None
    if when.act is not None and when.at is None:
        raise Refused(Problem("at", "needs_at"))
    return body, when


def _sorted(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _sorted(value[name]) for name in sorted(value)}
    return [_sorted(one) for one in value] if isinstance(value, list) else value


def _answer(view: TeamView, outcome: Outcome, row: Any, at_address: str) -> Response:
    if outcome.state == CONFLICT:
        return problems.answer("conflict", Problem("act", "id_with_other_content"))
    url = None
    if at_address:
        url = reverse(at_address, kwargs={"team": view.actor.team_slug, "id": row})
    known = outcome.state == KNOWN
    said = {"act": outcome.act, "state": outcome.was if known else outcome.state}
    said |= {"id": row, "url": url}
    headers = {"Location": url} if url and not known else None
    return Response(Taken(said).data, status=200 if known else 201, headers=headers)


def act_schema(
    body: type[BaseModel],
    *,
    made: str = "",
    given: Iterable[str] = (),
    example: dict[str, Any] | None = None,
    act: str = "",
) -> Callable[[V], V]:
    """Document a call that writes, from the act's own reader.

    act: its kind, where several kinds have the same body; api.schema adds its cautions.
    """
    shown = written(body, made=made, given=tuple(given))
    examples = [OpenApiExample("An example", example, request_only=True)] if example else None
    described = extend_schema(request=shown, responses={201: Taken, 200: Taken}, examples=examples)

    def document(view: V) -> V:
        view.act_kind = act or _kind_of(body)  # type: ignore[attr-defined]
        return described(view)

    return document


def _kind_of(body: type[BaseModel]) -> str:
    named = (kind.name for kind in KINDS.values() if body in kind.bodies.values())
    return next(named)


def written(body: type[BaseModel], *, made: str, given: tuple[str, ...]) -> type[BaseModel]:
    """The act's body as this call takes it: flat, less what the address says."""
    fields: dict[str, Any] = {
        name: (info.annotation, info)
        for name, info in body.model_fields.items()
        if name not in given and name != made
    }
    if made:
        fields[made] = (UUID | None, Field(None, description="Of the new row; or the act's."))
    for name, info in When.model_fields.items():
        fields[name] = (info.annotation, info)
    name = body.__name__.removesuffix("Said")
    config = ConfigDict(extra="forbid", json_schema_extra={"dependentRequired": {"act": ["at"]}})
    model: type[BaseModel] = create_model(
        f"{name}Call", __doc__=body.__doc__, __config__=config, **fields
    )
    return model
