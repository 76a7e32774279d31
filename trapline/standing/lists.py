"""Lists of sets and their record that the API filters and pages.

`member` narrows to what that member may see: the sets they are responsible for now, and what they
wrote themselves. A set's place is not shown to who does not need it.
"""

from typing import Any
from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import Exists, F, Func, OuterRef, Q, Subquery, TextField, Value
from django.db.models.functions import JSONObject

from trapline.gear.models import Device
from trapline.journal.models import PhotoSent
from trapline.lines.models import Catch, Check, Grant, Line, Photo, Reading, Signal, Target, Waiting
from trapline.lines.selectors import ends_in_effect
from trapline.standing.models import PartStay, SetState


def sets(member: UUID | None) -> Any:
    """Sets as they stand, with the species they are made for as `targets`."""
    targets = Target.objects.filter(set=OuterRef("set_id")).order_by("species_id")
    seen = SetState.objects.select_related("set").annotate(
        targets=ArraySubquery(targets.values("species_id"))
    )
    return seen if member is None else seen.filter(responsible=member)


def grants(member: UUID | None) -> Any:
    """Officers' extensions; with a member, of the sets they look after."""
    if member is None:
        return Grant.objects.all()
    own = SetState.objects.filter(set_id=OuterRef("set_id"), responsible_id=member)
    return Grant.objects.filter(Exists(own))


def lines(member: UUID | None) -> Any:
    """Lines; with a member, those on which they look after a set."""
    if member is None:
        return Line.objects.all()
    return Line.objects.filter(id__in=_sets_of(member).values("line_id"))


def checks(member: UUID | None) -> Any:
    """Checks, each with `in_effect`: nothing corrects it and it withdraws nothing."""
    corrected = Check.objects.filter(corrects=OuterRef("pk"))
    seen = Check.objects.annotate(in_effect=~Exists(corrected) & Q(withdraws=False))
    return seen if member is None else seen.filter(_mine(member))


def checks_with_photos(member: UUID | None) -> Any:
    """The same checks, each with `photos`: id, sha256 (hex), size in bytes, and whether it came."""
    came = PhotoSent.objects.filter(id=OuterRef("id"), sha256=OuterRef("sha256"))
    hashed = Func(F("sha256"), Value("hex"), function="encode", output_field=TextField())
    told = Photo.objects.filter(check_made=OuterRef("pk")).order_by("id")
    one = JSONObject(id="id", sha256=hashed, size="size", came=Exists(came))
    return checks(member).annotate(photos=ArraySubquery(told.values_list(one)))


def catches(member: UUID | None) -> Any:
    """Animals, each with its check and with `in_effect`, which is its check's."""
    corrected = Check.objects.filter(corrects=OuterRef("check_made_id"))
    seen = Catch.objects.select_related("check_made").annotate(in_effect=~Exists(corrected))
    return seen if member is None else seen.filter(_mine(member, "check_made__"))


def waitings(member: UUID | None) -> Any:
    """Animals that wait or waited, with `ended_at` and `fate` (null while they wait)."""
    end = ends_in_effect().filter(waiting=OuterRef("pk"))
    seen = Waiting.objects.annotate(
        ended_at=Subquery(end.values("at")), fate=Subquery(end.values("fate"))
    )
    return seen if member is None else seen.filter(_mine(member))


def readings(member: UUID | None) -> Any:
    """Snow, water, air and ice as they were read, on the lines that the member sees."""
    if member is None:
        return Reading.objects.all()
    return Reading.objects.filter(Q(by=member) | Q(line__in=_sets_of(member).values("line_id")))


def signals(member: UUID | None) -> Any:
    """What monitors sent."""
    return Signal.objects.all() if member is None else Signal.objects.filter(_mine(member))


def devices() -> Any:
    """Devices, each with `in_use`: it stands in an active set."""
    holding = SetState.objects.filter(device=OuterRef("pk"), active=True)
    return Device.objects.select_related("kind").annotate(in_use=Exists(holding))


def parts() -> Any:
    """Where each part is now, and in which state."""
    return PartStay.objects.filter(during__upper_inf=True).select_related("part__kind")


def _sets_of(member: UUID) -> Any:
    return SetState.objects.filter(responsible=member, active=True)


def _mine(member: UUID, through: str = "") -> Q:
    """Of a set the member looks after or looked after last, or of their own hand."""
    theirs = SetState.objects.filter(responsible=member).values("set_id")
    return Q(**{f"{through}by": member}) | Q(**{f"{through}set__in": theirs})
