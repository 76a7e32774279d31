"""Reports as files: CSV that a spreadsheet opens safely, and JSON. Codes and SI, no sentences."""

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict
from datetime import date, datetime
from typing import Any
from uuid import UUID

from trapline.reports.harvest import COLUMNS, Harvest, LicenceHarvest

BOM = "\ufeff"
NIL = "nil"
# A spreadsheet runs what begins so as a formula (OWASP, CSV Injection; from memory). An
# apostrophe in front makes it text again.
_RUNS = ("=", "+", "-", "@", "\t", "\r", "\n")


def csv_text(
    columns: Sequence[str], rows: Iterable[Sequence[Any]], *, bom: bool = False
) -> Iterator[str]:
    """A CSV file in pieces: RFC 4180 (CRLF, a quote doubled), header first, text guarded.

    bom: begin with U+FEFF, by which some spreadsheets know UTF-8.
    """
    sink = io.StringIO()
    writer = csv.writer(sink, lineterminator="\r\n")
    sink.write(BOM if bom else "")
    writer.writerow(columns)
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
        return f"'{value}" if value.startswith(_RUNS) else value
    return str(value)


def harvest_csv(harvest: Harvest, *, bom: bool = False) -> Iterator[str]:
    """One row an animal. A licence without any has one row that says `nil` for its species."""
    return csv_text(COLUMNS, _harvest_rows(harvest), bom=bom)


def _harvest_rows(harvest: Harvest) -> Iterator[Sequence[Any]]:
    for licence in harvest.licences:
        for animal in licence.animals:
            yield [getattr(animal, name) for name in COLUMNS]
        if licence.nil:
            said = {"licence": licence.number, "species": NIL}
            yield [said.get(name) for name in COLUMNS]


def harvest_json(harvest: Harvest) -> dict[str, Any]:
    """The same as values for JSON: per licence its animals and totals, and the team's sum."""
    return {
        "period": {"first": plain(harvest.period.first), "last": plain(harvest.period.last)},
        "licences": [_licence(one) for one in harvest.licences],
        "totals": [asdict(total) for total in harvest.totals],
    }


def _licence(licence: LicenceHarvest) -> dict[str, Any]:
    return {
        "licence": licence.number,
        "authority": licence.authority,
        "holder": licence.holder,
        "nil": licence.nil,
        "animals": [plain(asdict(animal)) for animal in licence.animals],
        "totals": [asdict(total) for total in licence.totals],
    }


def plain(value: Any) -> Any:
    """A value as JSON has it: times and dates in ISO 8601, keys as text."""
    if isinstance(value, Mapping):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    if isinstance(value, datetime):
        return value.isoformat(timespec="seconds")
    if isinstance(value, date):
        return value.isoformat()
    return str(value) if isinstance(value, UUID) else value
