"""Pick lists: what each keeps, and where that lies."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from trapline.ground import sql
from trapline.ground.errors import NotYours


@dataclass(frozen=True)
class Reserved:
    """A device or a part on a pick list. `mark`: the device's."""

    device: UUID | None
    part: UUID | None
    pick: UUID
    name: str
    mark: str


def reserved_by(
    team: UUID, *, devices: Iterable[UUID] = (), parts: Iterable[UUID] = ()
) -> list[Reserved]:
    """Those of the devices and parts that a pick list keeps. One statement."""
    values = {"team": team, "devices": list(devices), "parts": list(parts)}
    return [Reserved(*row) for row in sql.rows("trapline.standing", "reserved", values)]


@dataclass(frozen=True)
class PickShown:
    """A pick list. `kept`: things that it still keeps, of `things` that it named."""

    id: UUID
    name: str
    note: str
    carrier: UUID | None
    carrier_name: str
    by: str
    at: datetime
    dropped_at: datetime | None
    things: int
    kept: int


def picks(team: UUID, member: UUID | None, most: int = 200) -> list[PickShown]:
    """Pick lists, the newest first; with a member, those they carry. One statement."""
    return _picks(team, member, None, most)


def access_pick(team: UUID, pick: UUID, member: UUID | None) -> PickShown:
    """One list. One statement. NotYours when it is not there, or another member carries it."""
    found = _picks(team, member, pick, 1)
    if not found:
        raise NotYours
    return found[0]


def _picks(team: UUID, member: UUID | None, pick: UUID | None, most: int) -> list[PickShown]:
    values = {"team": team, "member": member, "pick": pick, "most": most}
    return [PickShown(*row) for row in sql.rows("trapline.standing", "picks", values)]


@dataclass(frozen=True)
class PickedThing:
    """A device (no `role`) or a loose part of a list, and where it lies or what became of it.

    kept: the list still keeps it; set_label: the set that the device stands in now.
    """

    device: UUID | None
    part: UUID | None
    kind_id: UUID
    kind: str
    role: str
    mark: str
    place: str
    kept: bool
    set_label: str


@dataclass(frozen=True)
class WantedOfKind:
    """What a list asked for of one kind of device; `found`: it keeps them, or they stood since."""

    kind_id: UUID
    kind: str
    devices: int
    spare_kits: int
    found: int

    @property
    def lacking(self) -> int:
        """Devices that it is short of."""
        return max(0, self.devices - self.found)


@dataclass(frozen=True)
class WantedOfRole:
    """How many loose parts of one role a list's kits ask for; `found`: kept, or built in since."""

    role: str
    parts: int
    found: int

    @property
    def lacking(self) -> int:
        """Parts that it is short of."""
        return max(0, self.parts - self.found)


def wanted_parts(team: UUID, pick: UUID) -> list[WantedOfRole]:
    """What the spare kits of a list ask for, by role. One statement."""
    rows = sql.rows("trapline.standing", "wanted_parts", {"team": team, "pick": pick})
    return [WantedOfRole(*row) for row in rows]


def wanted_devices(team: UUID, pick: UUID) -> list[WantedOfKind]:
    """What a list asks for, by kind. One statement."""
    rows = sql.rows("trapline.standing", "wanted", {"team": team, "pick": pick})
    return [WantedOfKind(*row) for row in rows]


def picked(team: UUID, pick: UUID) -> tuple[list[PickedThing], list[WantedOfKind]]:
    """What a list names, by place and kind; and what it asked for. Two statements."""
    values = {"team": team, "pick": pick}
    things = [PickedThing(*row) for row in sql.rows("trapline.standing", "picked", values)]
    return things, wanted_devices(team, pick)
