"""What labels are printed of, and what a label that somebody scanned is on."""

from dataclasses import dataclass
from uuid import UUID

from trapline.ground import sql


@dataclass(frozen=True)
class Labelled:
    """A device (no `role`) or a part that is not gone."""

    total: int
    id: UUID
    mark: str
    kind: str
    role: str


def labelled(
    team: UUID, *, devices: bool, parts: bool, kind: UUID | None, one: UUID | None, marked: bool,
    most: int,
) -> list[Labelled]:  # fmt: skip
    """Devices, parts or both: of one kind, one alone, or parts with a mark only. One statement."""
    values = {
        "team": team, "devices": devices, "parts": parts, "kind": kind, "one": one,
        "marked": marked, "most": most,
    }  # fmt: skip
    return [Labelled(*row) for row in sql.rows("trapline.standing", "labelled", values)]


@dataclass(frozen=True)
class Met:
    """A device or a part as one member meets it: the set or the pick list of theirs it is in."""

    is_part: bool
    own_set: UUID | None
    own_pick: UUID | None


def met_at(team: UUID, thing: UUID, member: UUID) -> Met | None:
    """What a scanned label is on; None when the team has no such thing. One statement."""
    rows = sql.rows("trapline.standing", "met", {"team": team, "thing": thing, "member": member})
    return Met(*rows[0]) if rows else None
