"""Under which name failed sign-ins are counted."""

from collections.abc import Mapping
from typing import Any


def name_tried(request: Any, credentials: Mapping[str, Any] | None) -> str | None:
    """The sign-in name in small letters: Maud and maud are the same person, counted once.

    For AXES_USERNAME_CALLABLE; the request is a form's when no credentials are given.
    """
    given = credentials if credentials is not None else request.POST
    name = given.get("username")
    return str(name).lower() if name else None
