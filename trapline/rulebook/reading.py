"""A rulebook file as plain values, with the line on which each of them stands.

YAML 1.2 core schema (yaml.org/spec/1.2.2, 10.3), so that 22:00, no and 2026-10-01 stay text;
JSON is read as the subset it is. Anchors, aliases and tags are refused: a rulebook needs none,
and without them no file can grow while it is read.
"""

import re
from dataclasses import dataclass, field
from typing import Any

import yaml

from trapline.ground.errors import Problem, Refused

MOST_BYTES = 2 * 1024 * 1024
MOST_DEPTH = 40

Path = tuple[str | int, ...]
Lines = dict[Path, int]

CORE = {
    "null": re.compile(r"(?:null|Null|NULL|~|)\Z"),
    "bool": re.compile(r"(?:true|True|TRUE|false|False|FALSE)\Z"),
    "int": re.compile(r"(?:[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+)\Z"),
    "float": re.compile(
        r"(?:[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?"
        r"|[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN))\Z"
    ),
}
"""What a plain scalar of the core schema is; anything else is text."""

_PAIR = re.compile(r"\\\\|\\u([dD][89abAB][0-9a-fA-F]{2})\\u([dD][c-fC-F][0-9a-fA-F]{2})")
_NO_BREAKS = {0x85: r"\u0085", 0x2028: r"\u2028", 0x2029: r"\u2029"}
_PARSER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_NO_KEY = object()


def read_file(raw: bytes) -> tuple[Any, Lines]:
    """The values of a YAML or JSON text, and the line (from 1) of each by its path.

    Raises Refused: too_large, not_text, empty, syntax, more_than_one, too_deep, anchor, tag,
    key_twice, key_not_text or number, with `line` where there is one.
    """
    if len(raw) > MOST_BYTES:
        raise _refused("too_large", most=MOST_BYTES, size=len(raw))
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise _refused("not_text", line=line) from None
    if text.lstrip().startswith(("{", "[")):
        # JSON writes a wide character as two escapes, and breaks no line at these three.
        text = _PAIR.sub(_joined, text).translate(_NO_BREAKS)
    builder = _Builder()
    try:
        for event in yaml.parse(text, Loader=_PARSER):
            builder.take(event)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line = mark.line + 1 if mark else 1
        raise _refused("syntax", line=line, said=error.problem or error.context or "") from None
    except yaml.YAMLError as error:
        place = getattr(error, "position", None)
        line = text.count("\n", 0, place) + 1 if isinstance(place, int) else 1
        raise _refused("syntax", line=line, said=getattr(error, "reason", "")) from None
    if not builder.done:
        raise _refused("empty")
    return builder.value, builder.lines


def line_of(lines: Lines, path: Path) -> int | None:
    """The line of `path`, or of the nearest thing around it that the file has."""
    for end in range(len(path), -1, -1):
        if (found := lines.get(path[:end])) is not None:
            return found
    return None


def dotted(path: Path) -> str:
    """A path as people read it: rules.3.params.hours."""
    return ".".join(str(step) for step in path) or "document"


@dataclass
class _Open:
    """A mapping or sequence whose end has not come yet."""

    made: dict[str, Any] | list[Any]
    path: Path
    key: Any = _NO_KEY


@dataclass
class _Builder:
    """Puts parser events together without recursion, so that depth costs nothing."""

    value: Any = None
    done: bool = False
    lines: Lines = field(default_factory=dict)
    _open: list[_Open] = field(default_factory=list)

    def take(self, event: Any) -> None:
        line = event.start_mark.line + 1
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            raise _refused("anchor", self._path(), line=line)
        if isinstance(event, yaml.DocumentStartEvent) and self.done:
            raise _refused("more_than_one", line=line)
        if tag := getattr(event, "tag", None):
            raise _refused("tag", self._path(), line=line, tag=str(tag))
        if isinstance(event, yaml.ScalarEvent):
            self._scalar(event, line)
        elif isinstance(event, yaml.MappingStartEvent | yaml.SequenceStartEvent):
            made: Any = {} if isinstance(event, yaml.MappingStartEvent) else []
            path = self._place(made, line)
            if len(self._open) >= MOST_DEPTH:
                raise _refused("too_deep", path, line=line, most=MOST_DEPTH)
            self._open.append(_Open(made, path))
        elif isinstance(event, yaml.MappingEndEvent | yaml.SequenceEndEvent):
            self._open.pop()

    def _scalar(self, event: yaml.ScalarEvent, line: int) -> None:
        around = self._open[-1] if self._open else None
        if around is not None and isinstance(around.made, dict) and around.key is _NO_KEY:
            # A key is its text, whatever it looks like: a code may be 5, no or 1e3.
            if event.value in around.made:
                raise _refused("key_twice", (*around.path, event.value), line=line)
            around.key = event.value
            return
        text: str = event.value
        self._place(_plain(text, self._path(), line) if event.implicit[0] else text, line)

    def _path(self) -> Path:
        if not self._open:
            return ()
        around = self._open[-1]
        if isinstance(around.made, list):
            return (*around.path, len(around.made))
        return around.path if around.key is _NO_KEY else (*around.path, around.key)

    def _place(self, value: Any, line: int) -> Path:
        path = self._path()
        self.lines[path] = line
        if not self._open:
            self.value, self.done = value, True
            return path
        around = self._open[-1]
        if isinstance(around.made, list):
            around.made.append(value)
        elif around.key is _NO_KEY:
            raise _refused("key_not_text", path, line=line)
        else:
            around.made[around.key] = value
            around.key = _NO_KEY
        return path


def _plain(text: str, path: Path, line: int) -> Any:
    if CORE["null"].match(text):
        return None
    if CORE["bool"].match(text):
        return text[0] in "tT"
    if CORE["int"].match(text):
        try:
            return int(text, 0) if text[:2] in ("0o", "0x") else int(text)
        except ValueError:  # Python refuses thousands of digits
            raise _refused("number", path, line=line) from None
    if CORE["float"].match(text):
        return float(text.lower().replace(".inf", "inf").replace(".nan", "nan"))
    return text


def _joined(match: re.Match[str]) -> str:
    if match[1] is None:
        return match[0]
    return chr(0x10000 + (int(match[1], 16) - 0xD800) * 0x400 + int(match[2], 16) - 0xDC00)


def _refused(code: str, path: Path = (), **values: Any) -> Refused:
    return Refused(Problem(dotted(path), f"file_{code}", values))
