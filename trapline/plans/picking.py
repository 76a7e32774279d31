"""From a load to a pick list: which devices and loose parts to take, and what is lacking."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from trapline.gear.models import AfterCatch, DeviceKind, KindPart
from trapline.ground import sql
from trapline.standing.reserved import picked, wanted_parts


@dataclass(frozen=True)
class Want:
    """So many devices of a kind, and so many spare kits of what a catch spends in one."""

    kind: UUID
    devices: int
    spare_kits: int = 0


@dataclass(frozen=True)
class DeviceToTake:
    """A device that is free, and where it lies."""

    id: UUID
    kind_id: UUID
    kind: str
    mark: str
    place: str


@dataclass(frozen=True)
class PartToTake:
    """A loose part, where it lies, and the kinds of device in which such parts stand."""

    id: UUID
    kind_id: UUID
    kind: str
    role: str
    mark: str
    place: str
    stands_in: Sequence[UUID]


@dataclass(frozen=True)
class Lack:
    """What is not there to be set aside: devices of a kind (no role), or parts of a role for it."""

    kind: str
    role: str
    count: int


@dataclass(frozen=True)
class Choice:
    """What a list would set aside."""

    devices: list[DeviceToTake]
    parts: list[PartToTake]
    lacking: list[Lack]


def choose(team: UUID, wants: Sequence[Want]) -> Choice:
    """Free gear for these wants. Four statements. A kind that is not the team's gives nothing."""
    kinds = [one.kind for one in wants]
    names = dict(DeviceKind.objects.filter(team_id=team, id__in=kinds).values_list("id", "name"))
    values = {"team": team, "kinds": kinds, "counts": [one.devices for one in wants]}
    devices = [DeviceToTake(*row) for row in sql.rows("trapline.plans", "ready", values)]
    known = [one for one in wants if one.kind in names]
    lacking = []
    for one in known:
        found = sum(device.kind_id == one.kind for device in devices)
        if found < one.devices:
            lacking.append(Lack(names[one.kind], "", one.devices - found))
    parts, short = _kits(team, known, names)
    return Choice(devices, parts, lacking + short)


def _kits(
    team: UUID, wants: Sequence[Want], names: dict[UUID, str]
) -> tuple[list[PartToTake], list[Lack]]:
    """Loose parts for the spare kits: first of those kinds that stand in such devices."""
    kits = {one.kind: one.spare_kits for one in wants if one.spare_kits}
    spent = KindPart.objects.filter(
        team_id=team, kind_id__in=list(kits), after_catch=AfterCatch.SPENT
    )
    rows = sql.rows("trapline.plans", "loose", {"team": team, "kinds": list(kits)})
    pool = [PartToTake(*row) for row in rows]
    taken: list[PartToTake] = []
    lacking: list[Lack] = []
    for kind, role, count in spent.order_by("kind__name", "role").values_list(
        "kind_id", "role", "count"
    ):
        need = count * kits[kind]
        fitting = sorted(
            (one for one in pool if one.role == role),
            key=lambda one: kind not in one.stands_in,
        )
        taken += fitting[:need]
        chosen = {one.id for one in fitting[:need]}
        pool = [one for one in pool if one.id not in chosen]
        if len(chosen) < need:
            lacking.append(Lack(names[kind], role, need - len(chosen)))
    return taken, lacking


def fill(team: UUID, pick: UUID) -> Choice:
    """What would make a list whole again, and what is still not there. Six statements.

    What the list named before is not named again.
    """
    things, wanted = picked(team, pick)
    named = {one.device or one.part for one in things}
    short = {one.kind_id: one for one in wanted if one.lacking}
    # Room for devices that are ready again, but stood on this list before.
    counts = [one.lacking + len(named) for one in short.values()]
    values = {"team": team, "kinds": list(short), "counts": counts}
    ready = [DeviceToTake(*row) for row in sql.rows("trapline.plans", "ready", values)]
    devices: list[DeviceToTake] = []
    lacking: list[Lack] = []
    for key, one in short.items():
        fresh = [two for two in ready if two.kind_id == key and two.id not in named][: one.lacking]
        devices += fresh
        if len(fresh) < one.lacking:
            lacking.append(Lack(one.kind, "", one.lacking - len(fresh)))
    kinds = [one.kind_id for one in wanted if one.spare_kits]
    rows = sql.rows("trapline.plans", "loose", {"team": team, "kinds": kinds})
    pool = [part for part in (PartToTake(*row) for row in rows) if part.id not in named]
    parts: list[PartToTake] = []
    for need in wanted_parts(team, pick):
        fitting = [one for one in pool if one.role == need.role]
        fitting.sort(key=lambda one: set(kinds).isdisjoint(one.stands_in))
        parts += fitting[: need.lacking]
        if len(fitting) < need.lacking:
            lacking.append(Lack("", need.role, need.lacking - len(fitting)))
    return Choice(devices, parts, lacking)
