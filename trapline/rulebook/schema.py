"""The rulebook as a document: one file holds what all authorities ask. Format 1."""

from functools import cache
from typing import Any, Self

from pydantic import ValidationError, model_validator

from trapline.ground.errors import Problem, Refused
from trapline.rulebook.meaning import problems_in
from trapline.rulebook.reading import Lines, Path, dotted, line_of, read_file
from trapline.rulebook.shape import Shape


class Document(Shape):
    """A whole rulebook. Whoever holds one holds a sound one: building it raises Refused."""

    @model_validator(mode="after")
    def _sound(self) -> Self:
        if found := problems_in(self):
            raise Refused(*found)
        return self

    def plain(self) -> dict[str, Any]:
        """As JSON would have it, less what is left at its default. `read_document` takes it."""
        written: dict[str, Any] = self.model_dump(mode="json", by_alias=True, exclude_defaults=True)
        return written


MOST_PROBLEMS = 100  # more would not be read


def read_text(raw: bytes) -> Document:
    """A document from a YAML or JSON file. Raises Refused, each problem with its line."""
    data, lines = read_file(raw)
    return read_document(data, lines)


def read_document(data: object, lines: Lines | None = None) -> Document:
    """A document from plain values. Raises Refused: every problem with path and reason."""
    where = lines or {}
    try:
        return Document.model_validate(data)
    except ValidationError as error:
        errors = error.errors(include_url=False, include_input=False)[: 2 * MOST_PROBLEMS]
        found = [_shape(data, one) for one in errors]
        problems = tuple(one for one in found if not _follows(one, found))
    except Refused as error:
        problems = error.problems
    raise Refused(*(_with_line(problem, where) for problem in problems[:MOST_PROBLEMS]))


@cache
def schema_json() -> dict[str, Any]:
    """The format's JSON Schema (2020-12). Meaning beyond shape is judged when a file is read."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **Document.model_json_schema(by_alias=True),
    }


def _shape(data: object, found: Any) -> Problem:
    path = _path(data, found["loc"], found["type"])
    if found["type"].startswith("union_tag"):
        path += (found["ctx"]["discriminator"].strip("'"),)
    return Problem(dotted(path), f"shape_{found['type']}", {"said": found["msg"]})


def _follows(problem: Problem, found: list[Problem]) -> bool:
    """Whether a list is too short only because what stands in it was refused."""
    return problem.code == "shape_too_short" and any(
        other.field.startswith(f"{problem.field}.") for other in found
    )


def _path(data: Any, loc: Path, kind: str) -> Path:
    """Pydantic's place without the names of union members, which the file does not have."""
    path: list[int | str] = []
    for number, step in enumerate(loc):
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            if number < len(loc) - 1 or kind != "missing":
                continue
        path.append(step)
    return tuple(path)


def _with_line(problem: Problem, lines: Lines) -> Problem:
    steps = tuple(int(step) if step.isdigit() else step for step in problem.field.split("."))
    line = line_of(lines, steps)
    if line is None:
        return problem
    return Problem(problem.field, problem.code, {**problem.values, "line": line})
