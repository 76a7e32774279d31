"""The rulebook as a document: one file holds what all authorities ask. Format 1."""

import re
from datetime import UTC, datetime
from functools import cache
from typing import Annotated, Any, Literal, Self

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BeforeValidator,
    Field,
    ValidationError,
    model_validator,
)
from pydantic_core import PydanticCustomError

from trapline.gear.models import Action, DeviceClass
from trapline.ground.errors import Problem, Refused
from trapline.land.models import Placement
from trapline.rulebook import forms
from trapline.rulebook.meaning import problems_in
from trapline.rulebook.models import AuthorityKind, Handling
from trapline.rulebook.parts import Area, Code, Day, Line, Part, RuleCode, Words
from trapline.rulebook.reading import Lines, Path, dotted, line_of, read_file


class Authority(Part):
    """Who makes rules. Between authorities the strictest binds."""

    code: Code
    name: Line
    kind: AuthorityKind


class Species(Part):
    """An animal, and the card that says what to do with a live one."""

    code: Code
    name: Line
    latin: Line | None = None
    handling: Handling = Handling.CALL
    card: Words = ""


class Zone(Part):
    """A management area by its code."""

    code: Code
    name: Line
    area: Area


class _Rule(Part):
    """What every rule has. A list left out or empty means: all."""

    code: RuleCode
    authority: Code
    device_classes: tuple[DeviceClass, ...] = ()
    actions: tuple[Action, ...] = ()
    placements: tuple[Placement, ...] = ()
    zones: tuple[Code, ...] = ()
    species: tuple[Code, ...] = ()
    licence_kinds: tuple[Line, ...] = ()
    from_day: Day | None = Field(None, description="First day of the year on which it holds.")
    until_day: Day | None = Field(None, description="Last such day; may lie over the new year.")
    instead_of: tuple[RuleCode, ...] = Field(
        (), description="Wider rules of the same authority that this one stands in for."
    )
    source: Words = Field("", description="Where the rule is written, or its text.")


class _Check(_Rule):
    matter: Literal["check"]


class CheckWithinHours(_Check):
    form: Literal["within_hours"]
    params: forms.WithinHours


class CheckEachDay(_Check):
    form: Literal["each_day"]
    params: forms.EachDay = forms.EachDay()


class CheckEveryDays(_Check):
    form: Literal["every_days"]
    params: forms.EveryDays


class CheckEachWeek(_Check):
    form: Literal["each_week"]
    params: forms.EachWeek = forms.EachWeek()


class CheckByTemperature(_Check):
    form: Literal["by_temperature"]
    params: forms.ByTemperature


class CheckMonitored(_Check):
    form: Literal["monitored"]
    params: forms.Monitored


class CheckNone(_Check):
    form: Literal["none"]
    params: forms.NoInterval = forms.NoInterval()


class _Season(_Rule):
    """When the species may be taken. Split dates are two rules: open is what any of them opens."""

    matter: Literal["season"]


class SeasonEachYear(_Season):
    form: Literal["each_year"]
    params: forms.EachYear


class SeasonOnce(_Season):
    form: Literal["once"]
    params: forms.Once


class Limit(_Rule):
    """How many may be taken: a bag limit or a quota."""

    matter: Literal["limit"]
    form: Literal["per_person", "per_team", "per_zone"]
    params: forms.Count


CheckRule = Annotated[
    CheckWithinHours
    | CheckEachDay
    | CheckEveryDays
    | CheckEachWeek
    | CheckByTemperature
    | CheckMonitored
    | CheckNone,
    Field(discriminator="form"),
]
SeasonRule = Annotated[SeasonEachYear | SeasonOnce, Field(discriminator="form")]
Rule = Annotated[CheckRule | SeasonRule | Limit, Field(discriminator="matter")]


_DATED = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt ]")
_FIRST, _LAST = datetime(1900, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)


def _written(value: object) -> object:
    # A bare number would be read as seconds since 1970.
    if not isinstance(value, datetime) and not (isinstance(value, str) and _DATED.match(value)):
        raise PydanticCustomError("datetime_type", "a date and time with its offset is needed")
    return value


def _reckonable(value: datetime) -> datetime:
    """The years in which deadlines can be worked out (calc.deadlines)."""
    if not _FIRST <= value < _LAST:
        raise PydanticCustomError("datetime_range", "a moment from 1900 to 2199 is needed")
    return value


Moment = Annotated[AwareDatetime, BeforeValidator(_written), AfterValidator(_reckonable)]


class Document(Part):
    """A whole rulebook. Whoever holds one holds a sound one: building it raises Refused."""

    format: Literal[1]
    title: Line
    in_force_from: Moment
    note: Words = ""
    authorities: tuple[Authority, ...] = ()
    species: tuple[Species, ...] = ()
    zones: tuple[Zone, ...] = ()
    rules: tuple[Rule, ...] = ()

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
