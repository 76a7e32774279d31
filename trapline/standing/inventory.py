"""All of a team's gear as a table: what an export writes, and what an import compares with."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from uuid import UUID

from trapline.gear.formats.columns import (
    COLUMNS,
    DEVICE,
    DEVICE_KIND,
    OF_DEVICE,
    OF_DEVICE_KIND,
    OF_PART,
    OF_PART_KIND,
    PART,
    PART_KIND,
    built_of_text,
)
from trapline.gear.models import GONE, PartState
from trapline.gear.selectors import device_kinds, part_kinds
from trapline.ground import sql
from trapline.ground.tables import csv_text

LYING = (PartState.BUILT_IN, PartState.STOCK, PartState.INSPECT)


@dataclass(frozen=True)
class Thing:
    """A kind, a device or a part, with what each column says of it (nothing: an empty text)."""

    what: str
    id: UUID
    cells: Mapping[str, str]


def inventory(team: UUID) -> list[Thing]:
    """Kinds of part and of device, devices, parts; also what is gone. Five statements."""
    return [*_part_kinds(team), *_device_kinds(team), *_devices(team), *_parts(team)]


def gear_csv(team: UUID) -> Iterator[str]:
    """What the team has as a CSV file in pieces; what is spent, lost or put away is left out."""
    return csv_text(COLUMNS, _rows(inventory(team)), bom=True)


def _rows(things: Iterable[Thing]) -> Iterator[list[str]]:
    gone: set[str] = set()
    for one in things:
        state = one.cells.get("state", "")
        if one.what == DEVICE and state in GONE:
            gone.add(one.cells["mark"])
            continue
        if one.what == PART and (state not in LYING or one.cells["device"] in gone):
            continue
        said = {**one.cells, "what": one.what, "id": str(one.id)}
        yield [said.get(name, "") for name in COLUMNS]


def _text(value: object) -> str:
    return "" if value is None else str(value)


def _part_kinds(team: UUID) -> Iterator[Thing]:
    for kind in part_kinds(team):
        yield Thing(PART_KIND, kind.id, {name: _text(getattr(kind, name)) for name in OF_PART_KIND})


def _device_kinds(team: UUID) -> Iterator[Thing]:
    for one in device_kinds(team):
        parts: list[Mapping[str, object]] = [
            {"role": part.role, "count": part.count, "needed": part.needed,
             "after_catch": part.after_catch} for part in one.parts
        ]  # fmt: skip
        cells = {
            name: _text(getattr(one.kind, name))
            for name in OF_DEVICE_KIND
            if name not in ("skill", "built_of")
        }
        skill = one.kind.skill.code if one.kind.skill else ""
        yield Thing(
            DEVICE_KIND, one.kind.id, {**cells, "skill": skill, "built_of": built_of_text(parts)}
        )


def _devices(team: UUID) -> Iterator[Thing]:
    for key, *values in sql.rows("trapline.standing", "inventory_devices", {"team": team}):
        yield Thing(DEVICE, key, dict(zip(OF_DEVICE, values, strict=True)))


def _parts(team: UUID) -> Iterator[Thing]:
    for key, *values in sql.rows("trapline.standing", "inventory_parts", {"team": team}):
        yield Thing(PART, key, {**dict(zip(OF_PART, values, strict=False)), "count": ""})
