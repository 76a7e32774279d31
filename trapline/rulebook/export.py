"""A version as the file it was taken in from: the same document, in the project's own order."""

import json
from typing import Any

import yaml

from trapline.rulebook.models import Version
from trapline.rulebook.reading import CORE, MOST_BYTES
from trapline.rulebook.schema import Document, read_document

_WRITER: Any = getattr(yaml, "CSafeDumper", yaml.SafeDumper)
_FIRST = ("code", "authority", "matter", "form", "params")


class _Writer(_WRITER):  # type: ignore[misc]
    """Puts quotes round whatever YAML 1.1 or 1.2 would read as something else than text."""


for _name, _pattern in CORE.items():
    _Writer.add_implicit_resolver(f"tag:yaml.org,2002:{_name}", _pattern, None)


class _Row(list[Any]):
    """A list that is written along the line, not down the page."""


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
    """The document as YAML that `read_text` reads back as the same document.

    One that would come out longer than may be read in is written as compact JSON, which is
    YAML too.
    """
    plain = document.plain()
    if "rules" in plain:
        plain["rules"] = [_in_order(rule) for rule in plain["rules"]]
    text: str = yaml.dump(
        _rows(plain), Dumper=_Writer, allow_unicode=True, sort_keys=False, width=100
    )
    if len(text.encode()) > MOST_BYTES:
        return json.dumps(plain, ensure_ascii=False, separators=(",", ":"))
    return text


def _in_order(rule: dict[str, Any]) -> dict[str, Any]:
    """What a rule asks before what it applies to."""
    first = {name: rule[name] for name in _FIRST if name in rule}
    return first | rule


def _rows(value: Any) -> Any:
    """The same value, every ring of positions and every list of codes along the line."""
    if isinstance(value, dict):
        return {key: _rows(inner) for key, inner in value.items()}
    if isinstance(value, list):
        first = value[0] if value else None
        if isinstance(first, list) and first and isinstance(first[0], float):
            return _Row(value)
        if not isinstance(first, dict | list):
            return _Row(value)
        return [_rows(inner) for inner in value]
    return value
