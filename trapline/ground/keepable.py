"""Text that a column can keep: no NUL, no half of a surrogate pair."""

from typing import Any


def keepable(text: str) -> bool:
    """Whether PostgreSQL can store it and UTF-8 can write it."""
    return "\0" not in text and not any("\ud800" <= one <= "\udfff" for one in text)


def unkeepable_path(value: Any) -> str | None:
    """The dotted path of the first text in plain JSON values that cannot be kept; None: all can."""
    todo: list[tuple[str, Any]] = [("", value)]
    while todo:
        path, here = todo.pop()
        if isinstance(here, str) and not keepable(here):
            return path
        if isinstance(here, list):
            todo += [(_step(path, at), one) for at, one in enumerate(here)]
        elif isinstance(here, dict):
            for name, one in here.items():
                if not keepable(name):
                    return path
                todo.append((_step(path, name), one))
    return None


def _step(path: str, name: str | int) -> str:
    return f"{path}.{name}" if path else str(name)
