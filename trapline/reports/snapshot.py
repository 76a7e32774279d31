"""A report as it is frozen: bytes that are the same for the same record, and their SHA-256."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any
from uuid import UUID

from trapline.lines.selectors import zone_of_team
from trapline.people.models import Licence
from trapline.reports.form import Form
from trapline.reports.period import Period
from trapline.reports.rows import Cell, Made, fill_in


@dataclass(frozen=True)
class Snapshot:
    """What is frozen. `raw` is canonical JSON: keys in order, no spaces, UTF-8."""

    raw: bytes
    made: Made

    @property
    def sha256(self) -> str:
        return hashlib.sha256(self.raw).hexdigest()


def freeze(team: UUID, form: Form, licence: Licence, first: date, last: date) -> Snapshot:
    """Fill the form in and freeze it. Nothing in it depends on when it is made."""
    made = fill_in(team, form, licence.id, Period(first, last), zone_of_team(team))
    said = {
        "format": 1,
        "form": form.model_dump(mode="json", by_alias=True),
        "licence": {
            "number": licence.number,
            "authority": licence.authority,
            "holder": made.harvest.holder,
        },
        "period": {"first": first.isoformat(), "last": last.isoformat()},
        "rows": [asdict(row) for row in made.rows],
        "totals": made.totals,
        "nil": not made.rows,
    }
    return Snapshot(canonical(said), made)


def canonical(said: Any) -> bytes:
    """JSON that is the same, byte for byte, for the same values."""
    return json.dumps(
        said, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False
    ).encode()


@dataclass(frozen=True)
class Change:
    """What an amended report says otherwise. `before` or `after` is None where a row is not."""

    key: str
    before: tuple[Cell, ...] | None
    after: tuple[Cell, ...] | None


def differences(before: dict[str, Any], after: dict[str, Any]) -> list[Change]:
    """Rows that came, went or read otherwise, by what they are about."""
    was = {row["key"]: tuple(row["cells"]) for row in before["rows"]}
    now = {row["key"]: tuple(row["cells"]) for row in after["rows"]}
    return [
        Change(key, was.get(key), now.get(key))
        for key in [*was, *(key for key in now if key not in was)]
        if was.get(key) != now.get(key)
    ]
