"""One form for everything that goes wrong: problem details (RFC 9457)."""

import logging
from collections.abc import Iterator, Sequence
from typing import Any

from django.conf import settings
from django.core.exceptions import PermissionDenied, RequestDataTooBig, SuspiciousOperation
from django.core.signals import got_request_exception
from django.http import Http404
from django.http.request import UnreadablePostError
from rest_framework import exceptions as drf
from rest_framework.renderers import JSONRenderer
from rest_framework.response import Response

from trapline.api.parsing import MOST_BYTES
from trapline.ground.errors import Held, NeedsReview, NotYours, Problem, Refused
from trapline.ground.words import sentence, title

_log = logging.getLogger("trapline.api")

MEDIA_TYPE = "application/problem+json"
WHERE = "/api/v1/problems/"  # followed by the kind: the `type` of an answer

# Kind of problem -> the status it is answered with.
STATUS = {
    "refused": 400,
    "not_signed_in": 401,
    "not_allowed": 403,
    "not_found": 404,
    "method": 405,
    "not_acceptable": 406,
    "conflict": 409,
    "too_large": 413,
    "media_type": 415,
    "cannot_apply": 422,
    "locked": 429,
    "server": 500,
}


def told(problem: Problem) -> dict[str, str]:
    """A problem as it is answered: where, which, and its sentence."""
    return {"field": problem.field, "code": problem.code, "detail": sentence(problem)}


def details(kind: str, problems: Sequence[Problem]) -> dict[str, Any]:
    """The body of a problem answer."""
    if len(problems) == 1:
        detail = sentence(problems[0])
    else:
        detail = sentence(Problem("", "several", {"count": len(problems)}))
    return {
        "type": f"{WHERE}{kind}/",
        "title": title(kind),
        "status": STATUS[kind],
        "detail": detail,
        "problems": [told(problem) for problem in problems if problem.field],
    }


def answer(kind: str, *problems: Problem, headers: dict[str, str] | None = None) -> Response:
    """A problem answer. Problems without a field give its detail only."""
    return Response(
        details(kind, problems or (Problem("", kind),)),
        status=STATUS[kind],
        headers=headers,
        content_type=MEDIA_TYPE,
    )


def handler(error: Exception, context: dict[str, Any]) -> Response | None:
    """DRF's exception handler: whatever went wrong, in the one form."""
    found = _read(error, context.get("request"))
    if found is None:
        if settings.DEBUG:
            return None
        _fault(error, context.get("request"))
        found = "server", ()
    if (request := context.get("request")) is not None:
        # Whatever form was asked for, a problem is told in JSON.
        request.accepted_renderer, request.accepted_media_type = JSONRenderer(), MEDIA_TYPE
    headers = {}
    if (challenge := getattr(error, "auth_header", None)) is not None:
        headers["WWW-Authenticate"] = challenge
    return answer(found[0], *found[1], headers=headers)


def _fault(error: Exception, request: Any) -> None:
    """A fault of ours: into the log and to whoever listens, as Django does it."""
    _log.error("Fault in %s", getattr(request, "path", "?"), exc_info=error)
    got_request_exception.send(sender=None, request=getattr(request, "_request", None))


_KINDS: tuple[tuple[tuple[type[Exception], ...], str], ...] = (
    ((NotYours, Http404, drf.NotFound), "not_found"),
    ((drf.NotAuthenticated, drf.AuthenticationFailed), "not_signed_in"),
    ((drf.PermissionDenied, PermissionDenied), "not_allowed"),
    ((drf.MethodNotAllowed,), "method"),
    ((drf.NotAcceptable,), "not_acceptable"),
    ((drf.UnsupportedMediaType,), "media_type"),
    ((RequestDataTooBig,), "too_large"),
    ((NeedsReview, Held), "cannot_apply"),
    ((Refused, drf.ValidationError), "refused"),
    ((drf.ParseError, UnreadablePostError, SuspiciousOperation), "refused"),
)


def _read(error: Exception, request: Any) -> tuple[str, tuple[Problem, ...]] | None:
    """The kind of problem an exception is, and what it says of which field."""
    kind = next((kind for types, kind in _KINDS if isinstance(error, types)), None)
    if kind is None:
        return None
    found = _fields(error) or (_of_request(kind, request),)
    if any(one.code in ("too_large", "file_too_large") for one in found):
        kind = "too_large"
    return kind, found


def _fields(error: Exception) -> tuple[Problem, ...]:
    match error:
        case Refused():
            return error.problems
        case NeedsReview():
            return (error.problem,)
        case Held():
            return (Problem(error.field, "waits_for"),)
        case drf.ValidationError():
            return tuple(_said(error.detail))
        case drf.ParseError() | UnreadablePostError() | SuspiciousOperation():
            return (Problem("body", "cut_short"),)
    return ()


def _of_request(kind: str, request: Any) -> Problem:
    values = {
        "method": getattr(request, "method", ""),
        "media": getattr(request, "content_type", ""),
        "most": MOST_BYTES,
    }
    return Problem("", kind, values)


def _said(detail: Any, field: str = "") -> Iterator[Problem]:
    """DRF's nested messages, one problem each."""
    if isinstance(detail, dict):
        for name, inner in detail.items():
            yield from _said(inner, f"{field}.{name}" if field else str(name))
    elif isinstance(detail, list):
        for inner in detail:
            yield from _said(inner, field)
    else:
        said = str(detail).rstrip(".")
        yield Problem(field or "body", f"shape_{detail.code}", {"said": said})
