"""Reads of how lines and sets stand. `member` narrows to what that member is responsible for."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.db.models import Count

from trapline.ground import sql
from trapline.ground.errors import NotYours
from trapline.lines.models import Target
from trapline.rulebook.models import Species
from trapline.standing.models import SetState


@dataclass(frozen=True)
class LineInPlay:
    """A line, whether any set stands on it, and one of their places, for its sun.

    lat, lon: degrees; without any set the path's start; None when the line has neither.
    """

    id: UUID
    name: str
    tz: str
    travel: str
    status: str
    in_use: bool
    lat: float | None
    lon: float | None


def lines_in_play(team: UUID, member: UUID | None = None) -> list[LineInPlay]:
    """The team's lines by name; with a member, those on which they have a set. One statement."""
    values = {"team": team, "member": member}
    return [LineInPlay(*row) for row in sql.rows("trapline.standing", "lines", values)]


def sets_by_line(team: UUID, member: UUID | None = None) -> dict[UUID, int]:
    """How many active sets stand on each line that has any. One statement."""
    found = SetState.objects.filter(team_id=team, active=True)
    if member is not None:
        found = found.filter(responsible_id=member)
    return dict(found.values("line_id").annotate(n=Count("id")).values_list("line_id", "n"))


def targets_standing(team: UUID) -> list[tuple[str, str]]:
    """Code and name of each species that a set in business is made for, by name. One statement."""
    standing = SetState.objects.filter(team_id=team, active=True).order_by()
    made_for = Target.objects.filter(team_id=team, set__in=standing.values("set"))
    found = Species.objects.filter(id__in=made_for.order_by().values("species"))
    return list(found.order_by("name").values_list("code", "name"))


def standing_on(team: UUID, line: UUID) -> list[tuple[UUID, str]]:
    """The sets that stand on a line, by label. One statement."""
    found = SetState.objects.filter(team_id=team, line_id=line, active=True)
    return list(found.order_by("set__label").values_list("set_id", "set__label"))


@dataclass(frozen=True)
class FreeDevice:
    """A device that stands in no active set. `reserved`: the pick list that keeps it, if any."""

    id: UUID
    mark: str
    kind: str
    device_class: str
    reserved: str = ""


def free_devices(team: UUID) -> list[FreeDevice]:
    """Devices that can be set, by kind and mark. One statement."""
    return [FreeDevice(*row) for row in sql.rows("trapline.standing", "free", {"team": team})]


def ready_devices(team: UUID, kind: UUID) -> list[UUID]:
    """Devices of a kind that are whole, in store, in no set and on no pick list, by mark.

    One statement.
    """
    rows = sql.rows("trapline.standing", "ready", {"team": team, "kind": kind})
    return [device for (device,) in rows]


@dataclass(frozen=True)
class SetSheet:
    """Everything a set's page says of it as it stands. Lengths in metres, degrees WGS 84."""

    id: UUID
    label: str
    line: UUID
    line_name: str
    tz: str
    active: bool
    ended: str
    ended_at: datetime | None
    placed_at: datetime
    placed_by: str
    lat: float
    lon: float
    accuracy_m: float | None
    placement: str
    device: UUID
    mark: str
    kind: str
    device_class: str
    action: str
    responsible: UUID
    responsible_name: str
    licence: UUID
    licence_number: str
    tag: str
    bait: str
    bait_in_view: bool | None
    loop_diameter_m: float | None
    loop_height_m: float | None
    anchoring: str
    water_depth_m: float | None
    snow_depth_m: float | None
    zone_codes: list[str]
    last_visit_at: datetime
    last_check_at: datetime | None
    last_found: str
    targets: list[UUID]
    target_names: list[str]

    @property
    def place(self) -> tuple[float, float]:
        return self.lat, self.lon


def set_sheet(team: UUID, set_id: UUID, member: UUID | None = None) -> SetSheet:
    """The set as it stands. One statement. NotYours when it is not there, or not the member's."""
    values = {"team": team, "set": set_id, "member": member}
    rows = sql.rows("trapline.standing", "sheet", values)
    if not rows:
        raise NotYours
    return SetSheet(*rows[0])


@dataclass(frozen=True)
class PartInDevice:
    """A part, and since when it is in this state. `device` is None for stock."""

    device: UUID | None
    role: str
    kind: str
    mark: str
    state: str
    since: datetime
    id: UUID
    kind_id: UUID
    breaking_load_n: float | None


def parts_of(team: UUID, devices: list[UUID]) -> list[PartInDevice]:
    """What the devices are made of now. One statement."""
    values = {"team": team, "devices": devices}
    return [PartInDevice(*row) for row in sql.rows("trapline.standing", "parts_of", values)]


@dataclass(frozen=True)
class DeviceShown:
    """A device, where it stands, what it is made of, and which needed parts it lacks."""

    total: int
    id: UUID
    mark: str
    kind: str
    device_class: str
    set: UUID | None
    label: str
    line_name: str
    parts: list[str]  # their roles
    lacking: list[str]
    reserved: str  # the pick list that keeps it, if any
    pick: UUID | None
    how: str  # as gear.models.Kept
    keeper: str  # whom it is lent to
    place: str


def devices(team: UUID, member: UUID | None, most: int) -> list[DeviceShown]:
    """Devices by kind and mark. A member is told the set only where it is theirs. One statement."""
    values = {"team": team, "member": member, "most": most}
    return [DeviceShown(*row) for row in sql.rows("trapline.standing", "devices", values)]


@dataclass(frozen=True)
class Stock:
    """How many parts of one kind are in one state. fewest: in stock, before more are bought."""

    role: str
    kind: str
    kind_id: UUID
    price: Decimal | None
    fewest: int | None
    state: str
    count: int


def stock(team: UUID) -> list[Stock]:
    """Parts by kind and state. One statement."""
    return [Stock(*row) for row in sql.rows("trapline.standing", "stock", {"team": team})]


@dataclass(frozen=True)
class Lying:
    """So many of one kind at one place (empty: nobody said where); no role: whole devices."""

    place: str
    role: str
    kind_id: UUID
    kind: str
    ready: int
    to_inspect: int


def lying(team: UUID) -> list[Lying]:
    """Loose parts and devices in store, by place and kind. One statement."""
    return [Lying(*row) for row in sql.rows("trapline.standing", "lying", {"team": team})]


def fit_parts(team: UUID, kind: UUID, most: int) -> list[UUID]:
    """Parts of a kind in stock and on no pick list, the longest there first. One statement."""
    values = {"team": team, "kind": kind, "most": most}
    return [part for (part,) in sql.rows("trapline.standing", "fit_parts", values)]


def photo_file(team: UUID, photo: UUID, member: UUID | None) -> tuple[bytes, str]:
    """A photograph's bytes as sent, and their SHA-256. One statement.

    NotYours when it is not there, has not come in, or its set and check are not the member's.
    """
    rows = sql.rows("trapline.standing", "photo", {"team": team, "photo": photo, "member": member})
    if not rows:
        raise NotYours
    return bytes(rows[0][0]), str(rows[0][1])
