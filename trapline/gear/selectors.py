"""Reads of kinds: what devices are built of."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import OuterRef, Subquery

from trapline.gear.models import Device, DeviceFact, DeviceKind, KindPart, PartKind
from trapline.ground import sql
from trapline.ground.errors import NotYours


@dataclass(frozen=True)
class KindShown:
    """A kind of device with the parts it is built of and what a catch does to each."""

    kind: DeviceKind
    parts: Sequence[KindPart]


def device_kinds(team: UUID) -> list[KindShown]:
    """The team's kinds of device, by name. Two statements."""
    kinds = DeviceKind.objects.filter(team_id=team).select_related("skill").order_by("name")
    parts: dict[UUID, list[KindPart]] = {}
    for part in KindPart.objects.filter(team_id=team).order_by("role"):
        parts.setdefault(part.kind_id, []).append(part)
    return [KindShown(kind, parts.get(kind.id, [])) for kind in kinds]


def named_kinds(team: UUID) -> list[DeviceKind]:
    """The team's kinds of device by class and name, without their parts. One statement."""
    return list(DeviceKind.objects.filter(team_id=team).order_by("device_class", "name"))


def part_kinds(team: UUID) -> list[PartKind]:
    """The team's kinds of part, by role and name. One statement."""
    return list(PartKind.objects.filter(team_id=team).order_by("role", "name"))


def access_part_kind(team: UUID, kind: UUID) -> PartKind:
    """One kind of part. One statement. NotYours when it is not there."""
    found: PartKind | None = PartKind.objects.filter(team_id=team, id=kind).first()
    if found is None:
        raise NotYours
    return found


def access_device_kind(team: UUID, kind: UUID) -> KindShown:
    """One kind of device. Two statements. NotYours when it is not there."""
    found = DeviceKind.objects.filter(team_id=team, id=kind).select_related("skill").first()
    if found is None:
        raise NotYours
    parts = KindPart.objects.filter(team_id=team, kind_id=kind).order_by("role")
    return KindShown(found, list(parts))


@dataclass(frozen=True)
class KindSaid:
    """What was said of a kind, whole, as the act had it; `by` is empty where nobody is known."""

    at: datetime
    by: str
    body: dict[str, Any]


def said_of_kind(team: UUID, kind: UUID) -> list[KindSaid]:
    """Each time that a kind was named or changed, the first first. One statement."""
    rows = sql.rows("trapline.gear", "said", {"team": team, "kind": str(kind)})
    return [KindSaid(at, by, json.loads(body)) for at, by, body in rows]


def device_marks(team: UUID, devices: Iterable[UUID]) -> dict[UUID, str]:
    """The marks of some devices. One statement."""
    rows = Device.objects.filter(team_id=team, id__in=set(devices))
    return dict(rows.values_list("id", "mark"))


def kept_how(at: datetime) -> Subquery:
    """For a query of devices: how each is kept at a moment; null where nothing was ever said."""
    said = DeviceFact.objects.filter(device=OuterRef("pk"), at__lte=at).order_by("-at", "-id")
    return Subquery(said.values("how")[:1])
