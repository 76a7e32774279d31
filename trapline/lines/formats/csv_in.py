"""A table of sets as comma-separated values (RFC 4180; semicolons and tabs are taken too)."""

import csv
from collections.abc import Iterator
from io import StringIO

from trapline.ground.errors import Problem, Refused
from trapline.ground.files import bounded
from trapline.lines.formats.draft import MOST_ROWS, Row, drafted

NEEDED = ("label", "lat", "lon")
# Of the team's: a line by its name, a licence by its number, a device by its mark, a member by
# name, targets by species' codes with spaces or semicolons between them.
NAMED = ("line", "licence", "device", "responsible", "targets")
PLAIN = (
    "placement", "tag", "bait", "loop_diameter_m", "loop_height_m", "anchoring",
    "water_depth_m", "snow_depth_m",
)  # fmt: skip
COLUMNS = (*NEEDED, "placed_at", *NAMED, *PLAIN)
MEASURES = tuple(name for name in PLAIN if name.endswith("_m"))


def read(raw: bytes) -> list[Row]:
    """Every row with its line. Raises Refused when the table as a whole cannot be read."""
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
    header = _header(names)
    rows: list[Row] = []
    for line_no, cells in lines:
        if not any(cell.strip() for cell in cells):
            continue
        if len(rows) == MOST_ROWS:
            values = {"line": line_no, "most": MOST_ROWS}
            raise Refused(Problem("file", "file_too_many_rows", values))
        rows.append(_row(line_no, header, cells, decimal_comma=delimiter != ","))
    if not rows:
        raise Refused(Problem("file", "csv_no_rows"))
    return rows


def _records(text: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    """Each record with the line at which it begins."""
    reader = csv.reader(StringIO(text, newline=""), delimiter=delimiter, strict=True)
    before = 0
    try:
        for cells in reader:
            yield before + 1, cells
            before = reader.line_num
    except csv.Error as error:
        values = {"line": before + 1, "said": str(error)}
        raise Refused(Problem("file", "csv_broken", values)) from None


def _header(names: list[str]) -> list[str]:
    header = [name.strip().lower() for name in names]
    for name in header:
        if name not in COLUMNS:
            values = {"line": 1, "name": name, "columns": COLUMNS}
            raise Refused(Problem("file", "csv_unknown_column", values))
        if header.count(name) > 1:
            raise Refused(Problem("file", "csv_column_twice", {"line": 1, "name": name}))
    if missing := [name for name in NEEDED if name not in header]:
        raise Refused(Problem("file", "csv_no_column", {"line": 1, "columns": missing}))
    return header


def _row(line_no: int, header: list[str], cells: list[str], *, decimal_comma: bool) -> Row:
    if len(cells) != len(header):
        values = {"cells": len(cells), "columns": len(header)}
        return Row(line_no, None, (Problem("row", "csv_cells", values),))
    said = {name: cell.strip() for name, cell in zip(header, cells, strict=True)}
    if decimal_comma:
        for name in ("lat", "lon", *MEASURES):
            if name in said:
                said[name] = said[name].replace(",", ".")
    row = drafted(
        line_no,
        label=said.pop("label"),
        lat=said.pop("lat"),
        lon=said.pop("lon"),
        at=said.pop("placed_at", ""),
        words={name: text for name, text in said.items() if text},
    )
    wrong = tuple(
        Problem(name, "row_number", {"text": said[name][:40]})
        for name in MEASURES
        if said.get(name) and not _number(said[name])
    )
    return row if not wrong else Row(line_no, None, row.problems + wrong)


def _number(text: str) -> bool:
    try:
        return float(text) >= 0
    except ValueError:
        return False
