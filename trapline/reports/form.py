"""Report forms as data: which columns in which order, with which codes, groups and totals."""

from __future__ import annotations

import hashlib
from importlib.resources import files
from typing import Annotated, Literal

import yaml
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from trapline.ground.errors import Problem, Refused
from trapline.reports.harvest import COLUMNS

MOST_BYTES = 64 * 1024
_READER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

Rows = Literal["animals", "totals", "efforts", "numbers"]
Format = Literal["pdf", "csv", "xlsx", "json"]

_COUNTS = (
    "animals", "taken", "released", "handed_to", "got_away", "male", "female", "sex_unknown",
    "adult", "juvenile", "age_unknown",
)  # fmt: skip
_EFFORTS = ("sets", "checks", "nights", "nights_unknown", "targets", "others")
_OF_TOTALS = ("zone", "species", "species_name", "species_latin", "device_class", "placement",
              "month", "line")  # fmt: skip
_OF_EFFORTS = ("zone", "device_class", "placement", "month", "line")
# What a column of each kind of row can hold; and by what its rows can be grouped.
VALUES: dict[str, tuple[str, ...]] = {
    "animals": ("number", *COLUMNS),
    "totals": (*_OF_TOTALS, *_COUNTS),
    "efforts": (*_OF_EFFORTS, *_EFFORTS),
    "numbers": ("number", "use", "date", "animal", "species", "species_name", "sex", "kind"),
}
GROUPS: dict[str, tuple[str, ...]] = {"totals": _OF_TOTALS, "efforts": _OF_EFFORTS}
SUMS: dict[str, tuple[str, ...]] = {"totals": _COUNTS, "efforts": _EFFORTS}

Words = Annotated[str, Field(min_length=1, max_length=200)]


class _Shape(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


class Column(_Shape):
    """One column. `as`: how a date is written (strftime); `codes`: what stands for a value."""

    head: Words
    value: str
    as_: Annotated[str, Field(alias="as", max_length=40)] = "%Y-%m-%d"
    codes: dict[str, Annotated[str, Field(max_length=60)]] | None = None


class Total(_Shape):
    """A sum under the rows: of `rows`, or of a column of counts; `by` a column's value."""

    head: Words
    count: str
    by: str | None = None


class Form(_Shape):
    """A form that a report is filed on."""

    format: Literal[1]
    code: Annotated[str, Field(pattern=r"^[a-z0-9-]{1,60}$")]
    title: Words
    about: Annotated[str, Field(max_length=2000)] = ""
    rows: Rows
    which: Literal["taken", "all"] = "all"
    kind: Literal["seal", "site_tag", "device_tag"] = "seal"
    period: Literal["season", "month", "dates"] = "dates"
    group_by: tuple[str, ...] = ()
    columns: Annotated[tuple[Column, ...], Field(min_length=1, max_length=24)]
    totals: Annotated[tuple[Total, ...], Field(max_length=12)] = ()
    sign: Annotated[tuple[Words, ...], Field(min_length=1, max_length=4)]
    formats: Annotated[tuple[Format, ...], Field(min_length=1)]
    nil: Words


def read_form(text: str) -> Form:
    """A form from its YAML. Refused with each field that is wrong."""
    if len(text.encode()) > MOST_BYTES:
        raise Refused(Problem("form", "too_large", {"most": MOST_BYTES}))
    try:
        said = yaml.load(text, Loader=_READER)  # noqa: S506 - a safe loader, the fast one
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        raise Refused(
            Problem("form", "report_form_yaml", {"line": mark.line + 1 if mark else 1})
        ) from None
    if not isinstance(said, dict):
        raise Refused(Problem("form", "report_form_yaml", {"line": 1}))
    try:
        form = Form.model_validate(said)
    except ValidationError as error:
        raise Refused(
            *(
                Problem(
                    ".".join(str(step) for step in found["loc"]) or "form",
                    f"shape_{found['type']}",
                    {"said": found["msg"].rstrip(".")},
                )
                for found in error.errors(include_url=False, include_input=False)
            )
        ) from None
    if wrong := list(_unknown(form)):
        raise Refused(*wrong)
    return form


def _unknown(form: Form) -> list[Problem]:
    """Columns, groups and sums that this kind of row does not have."""
    known, groups = VALUES[form.rows], GROUPS.get(form.rows, ())
    wrong = [
        Problem(f"columns.{at}.value", "report_unknown_column", {"column": column.value})
        for at, column in enumerate(form.columns)
        if column.value not in known
        or (form.rows in SUMS and column.value in groups and column.value not in form.group_by)
    ]
    wrong += [
        Problem(f"group_by.{at}", "report_unknown_column", {"column": name})
        for at, name in enumerate(form.group_by)
        if name not in groups
    ]
    sums = ("rows", *SUMS.get(form.rows, ()))
    for at, total in enumerate(form.totals):
        if total.count not in sums:
            found = Problem(f"totals.{at}.count", "report_unknown_column", {"column": total.count})
            wrong.append(found)
        shown = [column.value for column in form.columns]
        if total.by is not None and total.by not in shown:
            wrong.append(Problem(f"totals.{at}.by", "report_unknown_column", {"column": total.by}))
    return wrong


def digest(text: str) -> str:
    """The SHA-256 of a form's text."""
    return hashlib.sha256(text.encode()).hexdigest()


def shipped() -> dict[str, str]:
    """The invented forms that come with the program: text by code."""
    folder = files("trapline.reports.forms")
    texts = [one.read_text("utf-8") for one in folder.iterdir() if one.name.endswith(".yaml")]
    return {read_form(text).code: text for text in sorted(texts)}
