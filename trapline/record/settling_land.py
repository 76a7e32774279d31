"""Settling in: leave to be on land, and what on the land a set must keep away from.

Permissions and features are configuration, not facts: an act with the id of one that is there
changes it, and the book of acts keeps what each act said. Shapes are GeoJSON (RFC 7946).
"""

from datetime import date, timedelta
from typing import Annotated
from uuid import UUID

from pydantic import Field, StringConstraints

from trapline.duties.renewals import put_renewal_days, refresh_renewals
from trapline.ground.errors import Held, NeedsReview
from trapline.land.models import Feature, FeatureKind, Permission
from trapline.people.models import Membership
from trapline.record.acting import Body, Desk, Kind
from trapline.record.after import look_again
from trapline.record.shapes import Shape, geometry, on_the_globe
from trapline.rulebook import outline, parts

Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200)]
Short = Annotated[str, StringConstraints(strip_whitespace=True, max_length=200)]
Long = Annotated[str, StringConstraints(strip_whitespace=True, max_length=8000)]


class KeepPermission(Body):
    """A holder's leave to trap on a parcel, from a day to a day, both included."""

    permission: UUID
    parcel: Annotated[parts.Area, on_the_globe("parcel")]
    name: Name
    holder: Name
    contact: Short = ""
    valid_from: date
    valid_until: date
    conditions: Long = ""
    reference: Short = ""
    members: list[UUID] = Field(default_factory=list, max_length=500)  # none: the whole team


def keep_permission(desk: Desk, body: KeepPermission) -> None:
    if not desk.actor.manages:
        raise NeedsReview("permission", "only_managers", what="keep_permission")
    if body.valid_until < body.valid_from:
        raise NeedsReview("valid_until", "dates_out_of_order")
    known = set(Membership.objects.filter(id__in=body.members).values_list("id", flat=True))
    for number, member in enumerate(body.members):
        if member not in known:
            raise Held(f"members.{number}", member)
    Permission.objects.update_or_create(
        id=body.permission,
        defaults={
            "team_id": desk.team,
            "parcel": outline.geometry(body.parcel),
            "withdrawn_on": None,
            **body.model_dump(exclude={"permission", "parcel"}),
        },
    )
    _renewal(desk, body.permission)
    look_again(desk)


class WithdrawPermission(Body):
    """The permission ends: from this day on it no longer holds, and nobody renews it.

    A day after its end lets it run out: only the duty to renew it goes.
    """

    permission: UUID
    from_day: date
    reason: Long = ""


def withdraw_permission(desk: Desk, body: WithdrawPermission) -> None:
    if not desk.actor.manages:
        raise NeedsReview("permission", "only_managers", what="withdraw_permission")
    found = Permission.objects.select_for_update().filter(id=body.permission).first()
    if found is None:
        raise Held("permission", body.permission)
    # Whoever asks whether it holds on a day asks its dates alone.
    found.withdrawn_on = body.from_day
    found.valid_until = min(found.valid_until, body.from_day - timedelta(days=1))
    found.save(update_fields=["withdrawn_on", "valid_until"])
    _renewal(desk, body.permission)
    look_again(desk)


class SetRenewalDays(Body):
    """How many days before its end a permission is to be renewed."""

    days: Annotated[int, Field(ge=0, le=365)]


def set_renewal_days(desk: Desk, body: SetRenewalDays) -> None:
    if not desk.actor.manages:
        raise NeedsReview("days", "only_managers", what="set_renewal_days")
    put_renewal_days(desk.team, body.days)
    refresh_renewals(desk.team, moment=desk.received_at)


def _renewal(desk: Desk, permission: UUID) -> None:
    refresh_renewals(desk.team, [permission], moment=desk.received_at, act=desk.act, at=desk.at)


class DrawFeature(Body):
    """A trail, a road, a dwelling, water or a boundary, as a point, a path or an area."""

    feature: UUID
    kind: FeatureKind
    name: Short = ""
    shape: Annotated[Shape, on_the_globe("shape")]
    source: Short = ""


def draw_feature(desk: Desk, body: DrawFeature) -> None:
    if not desk.actor.leads:
        raise NeedsReview("feature", "only_leaders", what="draw_feature")
    Feature.objects.update_or_create(
        id=body.feature,
        defaults={
            "team_id": desk.team,
            "shape": geometry(body.shape),
            **body.model_dump(exclude={"feature", "shape"}),
        },
    )
    look_again(desk)


class DropFeature(Body):
    """The feature is not there, or no longer: it goes from the land."""

    feature: UUID


def drop_feature(desk: Desk, body: DropFeature) -> None:
    if not desk.actor.leads:
        raise NeedsReview("feature", "only_leaders", what="drop_feature")
    if not Feature.objects.filter(id=body.feature).delete()[0]:
        raise Held("feature", body.feature)
    look_again(desk)


KINDS = (
    Kind("keep_permission", {1: KeepPermission}, keep_permission),
    Kind("withdraw_permission", {1: WithdrawPermission}, withdraw_permission),
    Kind("set_renewal_days", {1: SetRenewalDays}, set_renewal_days),
    Kind("draw_feature", {1: DrawFeature}, draw_feature),
    Kind("drop_feature", {1: DropFeature}, drop_feature),
)
