"""One form for everything that goes wrong: problem details (RFC 9457)."""

from typing import Any

from rest_framework.response import Response
from rest_framework.views import exception_handler


def handler(error: Exception, context: dict[str, Any]) -> Response | None:
    """DRF's exception handler."""
    return exception_handler(error, context)
