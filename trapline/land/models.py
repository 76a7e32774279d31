"""Zones, features and the leave to be on the land. Geography: metres, WGS 84."""

from django.contrib.gis.db import models as gis
from django.contrib.postgres.constraints import ExclusionConstraint
from django.contrib.postgres.fields import ArrayField, DateTimeRangeField, RangeOperators
from django.contrib.postgres.indexes import GistIndex
from django.db import models
from django.utils.translation import gettext_lazy as _

from trapline.ground.models import TeamRow, one_of


class FeatureKind(models.TextChoices):
    TRAIL = "trail", _("Trail")
    ROAD = "road", _("Road")
    DWELLING = "dwelling", _("Dwelling")
    WATER = "water", _("Water")
    BOUNDARY = "boundary", _("Boundary")


class Placement(models.TextChoices):
    """What a set stands on or in."""

    LAND = "land", _("Land")
    EDGE = "water_edge", _("Water's edge")
    SUBMERSION = "submersion", _("Submersion")
    UNDER_ICE = "under_ice", _("Under ice")
    ELEVATED = "elevated", _("Elevated")


class Zone(TeamRow):
    """A management area by its code. A changed outline is a new row; the old one keeps its time."""

    code = models.TextField()
    name = models.TextField()
    area = gis.MultiPolygonField(geography=True, spatial_index=False)
    during = DateTimeRangeField()

    class Meta:
        constraints = [
            ExclusionConstraint(
                name="land_zone_one_outline_at_a_time",
                expressions=[
                    ("team", RangeOperators.EQUAL),
                    ("code", RangeOperators.EQUAL),
                    ("during", RangeOperators.OVERLAPS),
                ],
            )
        ]
        indexes = [
            models.Index(fields=["team", "code"], name="land_zone_by_code"),
            GistIndex(fields=["area"], name="land_zone_area"),
        ]

    def __str__(self) -> str:
        return self.name


class Feature(TeamRow):
    """Something a set must keep away from, or near: a trail, a road, a dwelling, water."""

    kind = models.TextField(choices=FeatureKind)
    name = models.TextField(blank=True)
    shape = gis.GeometryField(geography=True, spatial_index=False)
    source = models.TextField(blank=True)

    class Meta:
        constraints = [one_of("kind", FeatureKind, "land_feature")]
        indexes = [
            models.Index(fields=["team", "kind"], name="land_feature_by_kind"),
            GistIndex(fields=["shape"], name="land_feature_shape"),
        ]


class Permission(TeamRow):
    """A holder's leave to trap on a parcel, from a day to a day, with conditions.

    One that was withdrawn ends the day before; it may then have no day at all.
    """

    parcel = gis.MultiPolygonField(geography=True, spatial_index=False)
    name = models.TextField()
    holder = models.TextField()
    contact = models.TextField(blank=True)
    valid_from = models.DateField()
    valid_until = models.DateField()
    conditions = models.TextField(blank=True)
    reference = models.TextField(blank=True)
    members = ArrayField(models.UUIDField(), default=list, blank=True)  # empty: the whole team
    withdrawn_on = models.DateField(null=True, blank=True)  # the first day without it

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(valid_until__gte=models.F("valid_from"))
                | models.Q(withdrawn_on__isnull=False),
                name="land_permission_dates_in_order",
            )
        ]
        indexes = [
            models.Index(fields=["team", "valid_until"], name="land_permission_by_end"),
            GistIndex(fields=["parcel"], name="land_permission_parcel"),
        ]
