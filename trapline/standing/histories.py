"""Where a part has been, and what happened to a device."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from trapline.gear.models import Device, Part
from trapline.ground import sql
from trapline.ground.errors import NotYours


@dataclass(frozen=True)
class Stay:
    """A part in one state, in one device or loose. `till` is None for now."""

    since: datetime
    till: datetime | None
    state: str
    why: str
    place: str
    device: UUID | None
    mark: str
    sets: Sequence[str]
    by: str


def access_part(team: UUID, part: UUID) -> Part:
    """A part with its kind. One statement. NotYours when it is not there."""
    found: Part | None = Part.objects.filter(team_id=team, id=part).select_related("kind").first()
    if found is None:
        raise NotYours
    return found


def access_device(team: UUID, device: UUID) -> Device:
    """A device with its kind. One statement. NotYours when it is not there."""
    rows = Device.objects.filter(team_id=team, id=device).select_related("kind")
    found: Device | None = rows.first()
    if found is None:
        raise NotYours
    return found


def part_history(team: UUID, part: UUID) -> tuple[Part, list[Stay]]:
    """The part and its stays, first to last. Two statements. NotYours when it is not there."""
    found = access_part(team, part)
    rows = sql.rows("trapline.standing", "part_history", {"team": team, "part": part})
    return found, [Stay(*row) for row in rows]


@dataclass(frozen=True)
class Happening:
    """Something that happened to a device: made, kept, tagged, part_in, part_out, set.

    code: how it is kept, the part's role or new state, the placement. thing: the part or set.
    """

    at: datetime
    what: str
    code: str
    about: str
    thing: UUID | None
    by: str


def device_history(team: UUID, device: UUID) -> tuple[Device, list[Happening]]:
    """The device and what happened to it. Two statements. NotYours when it is not there."""
    found = access_device(team, device)
    rows = sql.rows("trapline.standing", "device_history", {"team": team, "device": device})
    return found, [Happening(*row) for row in rows]
