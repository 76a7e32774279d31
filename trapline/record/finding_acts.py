"""A finding is acknowledged with a reason; a row of the device-fit table is said anew."""

from typing import Annotated
from uuid import UUID

from pydantic import Field, StringConstraints

from trapline.findings.models import Finding, Fit, FitWhat
from trapline.gear.models import DeviceClass
from trapline.ground.errors import Held, NeedsReview
from trapline.ground.wake import REDUE, wake
from trapline.land.models import Placement
from trapline.people.change import raise_rule_stamp
from trapline.record.acting import Body, Desk, Kind

Reason = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=2000)]
Code = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]*$", max_length=50)]


class AcknowledgeFinding(Body):
    """Why it may stand as it is for now. It stays open until the facts close it."""

    finding: UUID
    reason: Reason


def acknowledge(desk: Desk, body: AcknowledgeFinding) -> None:
    if not desk.actor.leads:
        raise NeedsReview("finding", "only_leaders", what="acknowledge_finding")
    found = Finding.objects.select_for_update(no_key=True).filter(id=body.finding).first()
    if found is None:
        raise Held("finding", body.finding)
    if found.closed_at is not None:
        raise NeedsReview("finding", "finding_closed")
    found.acknowledged_by_id, found.acknowledged_at = desk.act, desk.at
    found.reason = body.reason
    found.save(update_fields=["acknowledged_by", "acknowledged_at", "reason"])


class SetDeviceFit(Body):
    """A row of the device-fit table as the team has it. With neither size nothing is said."""

    device_class: DeviceClass
    species: Code
    what: FitWhat
    from_m: Annotated[float, Field(ge=0, le=10)] | None = None
    to_m: Annotated[float, Field(ge=0, le=10)] | None = None
    placements: list[Placement] = Field(default_factory=list, max_length=len(Placement))
    source: Annotated[str, StringConstraints(strip_whitespace=True, max_length=400)] = ""


def set_fit(desk: Desk, body: SetDeviceFit) -> None:
    if not desk.actor.leads:
        raise NeedsReview("species", "only_leaders", what="set_device_fit")
    if body.from_m is not None and body.to_m is not None and body.to_m < body.from_m:
        raise NeedsReview("to_m", "sizes_out_of_order")
    Fit.objects.update_or_create(
        team_id=desk.team,
        device_class=body.device_class,
        species_code=body.species,
        what=body.what,
        defaults={
            "from_m": body.from_m, "to_m": body.to_m, "placements": body.placements,
            "source": body.source, "act_id": desk.act,
        },
    )  # fmt: skip
    # Whoever keeps the table under a stamp reads it again; watch/ looks at the sets.
    raise_rule_stamp(desk.team)
    wake(REDUE)


KINDS = (
    Kind("acknowledge_finding", {1: AcknowledgeFinding}, acknowledge),
    Kind("set_device_fit", {1: SetDeviceFit}, set_fit),
)
