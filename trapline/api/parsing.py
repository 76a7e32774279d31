"""JSON as it is sent: bounded, and refused with the place of whatever is wrong."""

import json
from math import isfinite
from typing import IO, Any

from rest_framework.parsers import BaseParser

from trapline.ground.errors import Problem, Refused
from trapline.ground.keepable import unkeepable_path

MOST_BYTES = 2 * 1024 * 1024
MOST_DEEP = 40


class StrictJson(BaseParser):
    """UTF-8 JSON (RFC 8259) without NaN, infinities, NUL or half characters."""

    media_type = "application/json"

    def parse(self, stream: IO[bytes], media_type: Any = None, parser_context: Any = None) -> Any:
        """The value. Raises Refused."""
        return read_json(stream.read(MOST_BYTES + 1))


def read_json(raw: bytes) -> Any:
    """The value that some bytes stand for. Raises Refused with line and column."""
    if len(raw) > MOST_BYTES:
        raise Refused(Problem("body", "too_large", {"most": MOST_BYTES}))
    try:
        value = json.loads(raw.decode("utf-8"), parse_constant=_no_constant)
    except UnicodeDecodeError as error:
        raise Refused(Problem("body", "json_utf8", {"byte": error.start})) from None
    except json.JSONDecodeError as error:
        values = {"line": error.lineno, "column": error.colno, "said": error.msg}
        raise Refused(Problem("body", "json_syntax", values)) from None
    except RecursionError:
        raise Refused(Problem("body", "json_too_deep", {"most": MOST_DEEP})) from None
    except ValueError:  # an integer of thousands of digits; NaN
        raise Refused(Problem("body", "json_number")) from None
    _look_through(value)
    return value


def _no_constant(name: str) -> None:
    raise ValueError(name)


def _look_through(value: Any) -> None:
    """Refuse what is too deep, what is no number, and what no column can keep."""
    todo: list[tuple[Any, int]] = [(value, 0)]
    while todo:
        here, depth = todo.pop()
        if depth > MOST_DEEP:
            raise Refused(Problem("body", "json_too_deep", {"most": MOST_DEEP}))
        if isinstance(here, float) and not isfinite(here):
            raise Refused(Problem("body", "json_number"))
        if isinstance(here, list | dict):
            inner = here.values() if isinstance(here, dict) else here
            todo += [(one, depth + 1) for one in inner]
    if (path := unkeepable_path(value)) is not None:
        raise Refused(Problem(path or "body", "json_text"))
