"""Reads of the land for pages. `member` narrows to what that member may go on; None is all."""

from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from trapline.ground import sql
from trapline.ground.errors import NotYours
from trapline.land.models import Feature, Permission


@dataclass(frozen=True)
class PermissionShown:
    """A permission as the list shows it. `who`: names of those who may go; none: all."""

    id: UUID
    name: str
    holder: str
    contact: str
    valid_from: date
    valid_until: date
    conditions: str
    reference: str
    withdrawn_on: date | None
    area_m2: float
    who: list[str]

    def holds_on(self, day: date) -> bool:
        return self.valid_from <= day <= self.valid_until


def permissions(team: UUID, member: UUID | None) -> list[PermissionShown]:
    """Permissions, those that end soonest first. A member is shown no contact. One statement."""
    values = {"team": team, "member": member}
    return [PermissionShown(*row) for row in sql.rows("trapline.land", "permissions", values)]


@dataclass(frozen=True)
class FeatureShown:
    """A feature as the list shows it. `total`: how many the team has of its kind."""

    id: UUID
    kind: str
    name: str
    source: str
    shape: str
    length_m: float
    area_m2: float
    total: int


def features(team: UUID, most: int) -> list[FeatureShown]:
    """The first features of each kind by name, at most so many of each. One statement."""
    values = {"team": team, "most": most}
    return [FeatureShown(*row) for row in sql.rows("trapline.land", "features", values)]


def layer(team: UUID, member: UUID | None, day: date, most: int) -> str:
    """Permissions and features as one GeoJSON FeatureCollection, at most so many of each.

    Each says `what`: permission (with `holds`: on this day) or a kind of feature. One statement.
    """
    values = {"team": team, "member": member, "day": day, "most": most}
    return str(sql.rows("trapline.land", "layer", values)[0][0])


def access_permission(team: UUID, permission: UUID) -> Any:
    """The team's permission. NotYours when it is not there."""
    found = Permission.objects.filter(team_id=team, id=permission).first()
    if found is None:
        raise NotYours
    return found


def access_feature(team: UUID, feature: UUID) -> Any:
    """The team's feature. NotYours when it is not there."""
    found = Feature.objects.filter(team_id=team, id=feature).first()
    if found is None:
        raise NotYours
    return found
