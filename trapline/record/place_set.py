"""Place a set on a line: a device, a place, a licence, a person responsible."""

from uuid import UUID

from pydantic import Field

from trapline.gear.models import GONE, Device
from trapline.gear.selectors import kept_how
from trapline.ground.errors import Held, NeedsReview
from trapline.lines.models import Arrangement, Line, Set, Target
from trapline.lines.words import Cause, LineStatus, Placement
from trapline.people.models import Licence, Membership
from trapline.record.acting import Body, Desk, Kind
from trapline.record.after import settle
from trapline.record.geo import LonLat, Metres, point
from trapline.rulebook.models import Species
from trapline.standing.models import SetState


class PlaceSet(Body):
    set: UUID
    line: UUID
    label: str = Field(min_length=1, max_length=60)
    licence: UUID
    place: LonLat
    accuracy_m: Metres | None = None
    placement: Placement
    device: UUID
    responsible: UUID | None = None  # who acts, if not said
    targets: list[UUID] = Field(default_factory=list, max_length=20)
    tag: str = Field(default="", max_length=60)
    bait: str = Field(default="", max_length=200)
    bait_in_view: bool | None = None
    loop_diameter_m: Metres | None = None
    loop_height_m: Metres | None = None
    anchoring: str = Field(default="", max_length=200)
    water_depth_m: Metres | None = None
    snow_depth_m: Metres | None = None


def apply(desk: Desk, body: PlaceSet) -> None:
    responsible = body.responsible or desk.actor.member
    if not desk.actor.leads and responsible != desk.actor.member:
        raise NeedsReview("responsible", "only_leaders", what="assign_set")
    _known(desk, body, responsible)
    Set.objects.create(
        **desk.written(), id=body.set, line_id=body.line, label=body.label,
        licence_id=body.licence, placed_by_id=desk.actor.member,
    )  # fmt: skip
    Target.objects.bulk_create(
        Target(**desk.written(), set_id=body.set, species_id=species) for species in body.targets
    )
    Arrangement.objects.create(
        **desk.written(),
        set_id=body.set,
        cause=Cause.PLACED,
        by_id=desk.actor.member,
        place=point(body.place),
        responsible_id=responsible,
        device_id=body.device,
        **body.model_dump(
            include={
                "accuracy_m", "placement", "tag", "bait", "bait_in_view", "loop_diameter_m",
                "loop_height_m", "anchoring", "water_depth_m", "snow_depth_m",
            }
        ),
    )  # fmt: skip
    settle(desk, body.set)


def _known(desk: Desk, body: PlaceSet, responsible: UUID) -> None:
    """Everything named is there, and what must not be is not. Each with its own field."""
    line = Line.objects.filter(id=body.line).first()
    if line is None:
        raise Held("line", body.line)
    if line.status != LineStatus.OPEN:
        raise NeedsReview("line", "line_not_open", name=line.name)
    if not Licence.objects.filter(id=body.licence).exists():
        raise Held("licence", body.licence)
    if not Membership.objects.filter(id=responsible, ended_at=None).exists():
        raise Held("responsible", responsible)
    _device_there(desk, body.device)
    if missing := set(body.targets) - set(
        Species.objects.filter(id__in=body.targets).values_list("id", flat=True)
    ):
        raise Held("targets", missing.pop())
    if Set.objects.filter(id=body.set).exists():
        raise NeedsReview("set", "set_exists")
    if Set.objects.filter(line_id=body.line, label=body.label).exists():
        raise NeedsReview("label", "label_taken", label=body.label)
    holder = SetState.objects.filter(device_id=body.device, active=True).select_related("set")
    if (other := holder.first()) is not None:
        raise NeedsReview("device", "device_in_use", label=other.set.label)


def _device_there(desk: Desk, key: UUID) -> None:
    device = Device.objects.filter(id=key).annotate(how=kept_how(desk.at)).first()
    if device is None:
        raise Held("device", key)
    if device.how in GONE:
        raise NeedsReview("device", "device_gone")


KIND = Kind("place_set", {1: PlaceSet}, apply)
