"""A filed report as CSV, XLSX and JSON. Text stays text: no cell is run as a formula."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Font

from trapline.ground.tables import csv_text


def heads(content: dict[str, Any]) -> list[str]:
    """The columns' headings, in the form's order."""
    return [column["head"] for column in content["form"]["columns"]]


def as_csv(content: dict[str, Any], *, bom: bool = False) -> str:
    """The rows; for a nil report one row that says so. RFC 4180, text guarded."""
    return "".join(csv_text(heads(content), _rows(content), bom=bom))


def _rows(content: dict[str, Any]) -> Iterator[list[Any]]:
    for row in content["rows"]:
        yield row["cells"]
    if content["nil"]:
        yield [content["form"]["nil"], *[None] * (len(heads(content)) - 1)]


def as_xlsx(content: dict[str, Any], sha256: str) -> bytes:
    """A workbook: the rows on the first sheet; period, licence, totals and checksum on another."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet("Report")
    bold = Font(bold=True)
    sheet.append([_cell(sheet, head, bold) for head in heads(content)])
    for row in _rows(content):
        sheet.append([_cell(sheet, value) for value in row])
    about = book.create_sheet("About")
    for name, value in _about(content, sha256):
        about.append([_cell(about, name, bold), _cell(about, value)])
    sink = io.BytesIO()
    book.save(sink)
    return sink.getvalue()


def _cell(sheet: Any, value: Any, font: Font | None = None) -> Any:
    cell = WriteOnlyCell(sheet, value)
    if isinstance(value, str):
        # A text that begins like a formula would be kept as one. `quotePrefix` keeps it a text
        # also when somebody edits the cell.
        cell.data_type = "s"
        cell.quotePrefix = True
    if font is not None:
        cell.font = font
    return cell


def _about(content: dict[str, Any], sha256: str) -> Iterator[tuple[str, Any]]:
    yield "Report", content["form"]["title"]
    yield "Licence", content["licence"]["number"]
    yield "Authority", content["licence"]["authority"]
    yield "Holder", content["licence"]["holder"]
    yield "From", content["period"]["first"]
    yield "To", content["period"]["last"]
    yield from (tuple(pair) for pair in content["totals"])
    yield "SHA-256", sha256


def as_json(content: dict[str, Any], sha256: str) -> dict[str, Any]:
    """The frozen content, with its checksum beside it."""
    return {"sha256": sha256, "report": content}
