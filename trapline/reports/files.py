"""Reports as files: CSV that a spreadsheet opens safely, and JSON. Codes and SI, no sentences."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from datetime import date, datetime
from typing import Any
from uuid import UUID

from trapline.ground.tables import csv_text
from trapline.reports.harvest import COLUMNS, Harvest, LicenceHarvest
from trapline.reports.period import Period
from trapline.reports.yields import MemberYield

NIL = "nil"


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
        "period": _period(harvest.period),
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


YIELD_COLUMNS = (
    "member", "role", "checks_in_time", "checks_asked", "hours_possibly_held_median",
    "hours_possibly_held_most", "non_targets", "looks", "trap_nights", "targets",
    "per_100_trap_nights", "per_100_lower", "per_100_upper", "figure",
)  # fmt: skip


def yields_csv(rows: Sequence[MemberYield], *, bom: bool = False) -> Iterator[str]:
    """One row a member, by name. `figure` says how the rate was come by, or why there is none."""
    return csv_text(YIELD_COLUMNS, (list(yield_values(row).values()) for row in rows), bom=bom)


def yields_json(rows: Sequence[MemberYield], period: Period) -> dict[str, Any]:
    """The same as values for JSON."""
    return {"period": _period(period), "members": [yield_values(row) for row in rows]}


def yield_values(row: MemberYield) -> dict[str, Any]:
    """A member's row by YIELD_COLUMNS. Rates per 100 trap-nights, to four digits."""
    rate = row.rate
    per_100 = [None] * 3 if rate is None else [rate.rate, rate.lower, rate.upper]
    shown = [None if one is None else float(f"{100 * one:.4g}") for one in per_100]
    said = (
        row.name, row.role, row.checks_in_time, row.checks_asked, row.hours_held_median,
        row.hours_held_most, row.non_targets, row.looks, round(row.nights, 2), row.targets,
        *shown, "no_looks" if rate is None else rate.method,
    )  # fmt: skip
    return dict(zip(YIELD_COLUMNS, said, strict=True))


def _period(period: Period) -> dict[str, str | None]:
    return {"first": plain(period.first), "last": plain(period.last)}


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
