"""A version as the file it was taken in from: the same document, in the project's own order."""

from typing import Any

import yaml

from trapline.rulebook.models import Version
from trapline.rulebook.reading import CORE
from trapline.rulebook.schema import Document, read_document

_WRITER: Any = getattr(yaml, "CSafeDumper", yaml.SafeDumper)


_FIRST = ("code", "authority", "matter", "form", "params")


class _Writer(_WRITER):  # type: ignore[misc]
    """Puts quotes round whatever YAML 1.1 or 1.2 would read as something else than text."""


for _name, _pattern in CORE.items():
    _Writer.add_implicit_resolver(f"tag:yaml.org,2002:{_name}", _pattern, None)


class _Row(list[Any]):
    """A list short enough to stand on one line."""


_Writer.add_representer(
    str,
    lambda writer, text: writer.represent_scalar(
        "tag:yaml.org,2002:str", text, style="|" if "\n" in text else None
    ),
)
_Writer.add_representer(
    _Row, lambda writer, row: writer.represent_sequence("tag:yaml.org,2002:seq", row, True)
)


def document_of(version: Version) -> Document:
    """The document that a version was taken in with."""
    return read_document(version.document)


def to_yaml(document: Document) -> str:
    """The document as YAML that `read_text` reads back as the same document."""
    plain = _rows(document.plain())
    text: str = yaml.dump(plain, Dumper=_Writer, allow_unicode=True, sort_keys=False, width=100)
    return text


def _in_order(rule: dict[str, Any]) -> dict[str, Any]:
    """What a rule asks before what it applies to."""
    first = {name: rule[name] for name in _FIRST if name in rule}
    return first | rule


def _rows(value: Any) -> Any:
    """The same value with every list of bare numbers or codes (and position) on one line."""
    if isinstance(value, dict):
        return {key: _rows(inner) for key, inner in value.items()}
    if isinstance(value, list):
        if not any(isinstance(inner, dict | list) for inner in value):
            return _Row(value)
        return [_rows(inner) for inner in value]
    return value
