"""Parts going into a device: each fit, in one place only, and of a role the device has room for."""

from collections import Counter
from collections.abc import Iterable, Sequence
from uuid import UUID

from pydantic import Field

from trapline.duties.stock import refresh_stock
from trapline.gear.models import KindPart, Part, PartFact, PartKind, PartRole, PartState
from trapline.ground.errors import Held, NeedsReview
from trapline.ground.ids import new_id
from trapline.record.acting import Body, Desk
from trapline.standing.fold import fold_parts
from trapline.standing.models import PartStay, SetState

UNFIT = (PartState.SPENT, PartState.BROKEN, PartState.LOST, PartState.RETIRED)


class PartSaid(Body):
    """A part from stock by its id, or a new one of a kind."""

    part: UUID = Field(default_factory=new_id)
    kind: UUID
    mark: str = Field(default="", max_length=60)


def put_in(
    desk: Desk, device: UUID, kind: UUID, said: Sequence[PartSaid], *, why: str,
    out: UUID | None = None, role: str | None = None,
) -> list[UUID]:  # fmt: skip
    """Write that these parts are in the device from now on; parts that are new are made.

    kind: of the device. out: the part that leaves in the same act, whose role they must have.
    Eight statements at most.
    """
    if not said:
        return []
    ids = [one.part for one in said]
    there = dict(Part.objects.filter(id__in=ids).values_list("id", "kind_id"))
    kinds = {there.get(one.part, one.kind) for one in said}
    roles = dict(PartKind.objects.filter(id__in=kinds).values_list("id", "role"))
    if missing := kinds - set(roles):
        raise Held("parts", missing.pop())
    if role is not None and set(roles.values()) != {role}:
        raise NeedsReview("part", "role_differs", role=str(PartRole(role).label))
    _free_and_fit(desk, device, ids)
    _has_room(desk, device, kind, [roles[there.get(one.part, one.kind)] for one in said], ids, out)
    Part.objects.bulk_create(
        Part(**desk.written(), id=one.part, kind_id=one.kind, mark=one.mark)
        for one in said
        if one.part not in there
    )
    PartFact.objects.bulk_create(
        PartFact(
            **desk.written(), part_id=part, state=PartState.BUILT_IN, device_id=device, why=why
        )
        for part in ids
    )
    return ids


def _free_and_fit(desk: Desk, device: UUID, ids: list[UUID]) -> None:
    if len(set(ids)) < len(ids):
        raise NeedsReview("parts", "part_twice")
    stays = PartStay.objects.filter(part_id__in=ids, during__contains=desk.at)
    if stays.filter(state=PartState.BUILT_IN).exclude(device_id=device).exists():
        raise NeedsReview("parts", "part_in_another_device")
    if stays.filter(state__in=UNFIT).exists():
        raise NeedsReview("parts", "part_not_fit")


def _has_room(
    desk: Desk, device: UUID, kind: UUID, roles: list[str], ids: list[UUID], out: UUID | None
) -> None:
    """The kind of device has such parts, and not more of them than it is built of."""
    room = dict(KindPart.objects.filter(kind_id=kind).values_list("role", "count"))
    inside = PartStay.objects.filter(
        device_id=device, state=PartState.BUILT_IN, during__contains=desk.at
    ).exclude(part_id__in=[*ids, *([out] if out else [])])
    count = Counter([*roles, *inside.values_list("part__kind__role", flat=True)])
    for role in roles:
        if role not in room:
            raise NeedsReview("parts", "role_not_in_kind", role=str(PartRole(role).label))
        if count[role] > room[role]:
            raise NeedsReview(
                "parts", "role_too_many", role=str(PartRole(role).label), count=room[role]
            )


def parts_moved(desk: Desk, parts: Sequence[UUID]) -> None:
    """Last of all: where these parts are now, and whether their kinds run low. Two statements."""
    fold_parts(desk.team, parts)
    refresh_stock(desk.team, parts=parts, act=desk.act, at=desk.at, moment=desk.received_at)


def inside_now(desk: Desk, device: UUID) -> dict[UUID, str]:
    """The parts that are in the device at the time of the act, each with its role."""
    rows = PartStay.objects.filter(
        device_id=device, state=PartState.BUILT_IN, during__contains=desk.at
    )
    return dict(rows.values_list("part_id", "part__kind__role"))


def must_lie_idle(devices: Iterable[UUID], field: str) -> None:
    """None of the devices stands in a set."""
    holding = SetState.objects.filter(device_id__in=list(devices), active=True)
    if (state := holding.select_related("set").first()) is not None:
        raise NeedsReview(field, "device_in_use", label=state.set.label)
