"""Tables as comma-separated values (RFC 4180): read line by line, written so that no cell runs."""

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from trapline.ground.errors import Problem, Refused
from trapline.ground.files import bounded
from trapline.ground.keepable import keepable

BOM = "\ufeff"
# A spreadsheet runs what begins so as a formula (OWASP, CSV Injection; from memory). An
# apostrophe in front makes it text again. One that had such a beginning gets another, so that
# what was written is always what is read.
_RUNS = re.compile(r"'*[=+\-@\t\r\n]")
_MADE_TEXT = re.compile(r"'+[=+\-@\t\r\n]")


@dataclass(frozen=True)
class TableRow:
    """The cells of one record by the names of the columns, or what is wrong with it."""

    line_no: int
    cells: Mapping[str, str]
    problem: Problem | None = None


@dataclass(frozen=True)
class Table:
    """The rows of a table that are not empty. decimal_comma: semicolons or tabs part its cells."""

    rows: list[TableRow]
    decimal_comma: bool


def read_table(raw: bytes, *, columns: Sequence[str], needed: Sequence[str], most: int) -> Table:
    """Every row with the line at which it begins; semicolons and tabs are taken too.

    Raises Refused when the table as a whole cannot be read, or has a column that is not in
    `columns`, twice, or lacks one that is needed.
    """
    bounded(raw)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        values = {"line": raw.count(b"\n", 0, error.start) + 1}
        raise Refused(Problem("file", "file_not_text", values)) from None
    first = text.split("\n", 1)[0]
    delimiter = max(",;\t", key=first.count)
    lines = _records(text, delimiter)
    _line, names = next(lines)
    header = _header(names, columns, needed)
    rows: list[TableRow] = []
    for line_no, cells in lines:
        if not any(cell.strip() for cell in cells):
            continue
        if len(rows) == most:
            values = {"line": line_no, "most": most}
            raise Refused(Problem("file", "file_too_many_rows", values))
        rows.append(_row(line_no, header, cells))
    if not rows:
        raise Refused(Problem("file", "csv_no_rows"))
    return Table(rows, delimiter != ",")


def _records(text: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    """Each record with the line at which it begins."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    before = 0
    try:
        for cells in reader:
            yield before + 1, cells
            before = reader.line_num
    except csv.Error as error:
        values = {"line": before + 1, "said": str(error)}
        raise Refused(Problem("file", "csv_broken", values)) from None


def _header(names: list[str], columns: Sequence[str], needed: Sequence[str]) -> list[str]:
    header = [name.strip().lower() for name in names]
    for name in header:
        if name not in columns:
            values = {"line": 1, "name": name, "columns": columns}
            raise Refused(Problem("file", "csv_unknown_column", values))
        if header.count(name) > 1:
            raise Refused(Problem("file", "csv_column_twice", {"line": 1, "name": name}))
    if missing := [name for name in needed if name not in header]:
        raise Refused(Problem("file", "csv_no_column", {"line": 1, "columns": missing}))
    return header


def _row(line_no: int, header: list[str], cells: list[str]) -> TableRow:
    if len(cells) != len(header):
        values = {"cells": len(cells), "columns": len(header)}
        return TableRow(line_no, {}, Problem("row", "csv_cells", values))
    said = {name: plain(cell) for name, cell in zip(header, cells, strict=True)}
    for name, text in said.items():
        if not keepable(text):
            return TableRow(line_no, {}, Problem(name, "json_text"))
    return TableRow(line_no, said)


def csv_text(
    columns: Sequence[str], rows: Iterable[Sequence[Any]], *, bom: bool = False
) -> Iterator[str]:
    """A CSV file in pieces: RFC 4180 (CRLF, a quote doubled), header first, text guarded.

    bom: begin with U+FEFF, by which some spreadsheets know UTF-8.
    """
    sink = io.StringIO()
    writer = csv.writer(sink, lineterminator="\r\n")
    sink.write(BOM if bom else "")
    writer.writerow([cell(name) for name in columns])
    for row in rows:
        writer.writerow([cell(value) for value in row])
        yield sink.getvalue()
        sink.seek(0)
        sink.truncate()
    yield sink.getvalue()


def cell(value: Any) -> str:
    """A value as it stands in a CSV file: ISO 8601 times, true and false, nothing for None."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime):
        return value.isoformat(timespec="seconds")
    if isinstance(value, str):
        return f"'{value}" if _RUNS.match(value) else value
    return str(value)


def plain(text: str) -> str:
    """A cell's text as it was before it was guarded, without spaces at its ends."""
    return (text[1:] if _MADE_TEXT.match(text) else text).strip()
