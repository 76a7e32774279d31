"""What the record amounts to. Every row here can be made again from the facts, by one path."""

from django.contrib.gis.db import models as gis
from django.contrib.postgres.constraints import ExclusionConstraint
from django.contrib.postgres.fields import ArrayField, DateTimeRangeField, RangeOperators
from django.contrib.postgres.indexes import GistIndex
from django.db import models
from django.db.models import F, Func

from trapline.ground.models import TeamKey, TeamRow
from trapline.lines import words


def _never_twice(name: str, field: str) -> ExclusionConstraint:
    return ExclusionConstraint(
        name=name,
        expressions=[(field, RangeOperators.EQUAL), ("during", RangeOperators.OVERLAPS)],
    )


class SetState(TeamRow):
    """How a set stands now: one row a set, its key the set's. Active until pulled or lost."""

    set = TeamKey("lines.Set", db_index=False)
    line = TeamKey("lines.Line", db_index=False)
    active = models.BooleanField()
    ended = models.TextField(choices=words.Ended, blank=True, default="")
    ended_at = models.DateTimeField(null=True)
    placed_at = models.DateTimeField()
    place = gis.PointField(geography=True, spatial_index=False)
    mercator = models.GeneratedField(
        expression=Func(
            F("place"),
            template="ST_Transform((%(expressions)s)::geometry, 3857)",
            output_field=gis.PointField(srid=3857),
        ),
        output_field=gis.PointField(srid=3857, spatial_index=False),
        db_persist=True,
    )
    placement = models.TextField(choices=words.Placement)
    device = TeamKey("gear.Device")
    device_class = models.TextField()
    action = models.TextField()
    responsible = TeamKey("people.Membership")
    tag = models.TextField(blank=True)
    bait = models.TextField(blank=True)
    bait_in_view = models.BooleanField(null=True)
    loop_diameter_m = models.FloatField(null=True)
    loop_height_m = models.FloatField(null=True)
    anchoring = models.TextField(blank=True)
    water_depth_m = models.FloatField(null=True)
    snow_depth_m = models.FloatField(null=True)
    zone_codes = ArrayField(models.TextField(), default=list)
    last_visit_at = models.DateTimeField()  # the placing, or the last check that counts
    last_check_at = models.DateTimeField(null=True)
    last_found = models.TextField(blank=True)
    visit_by_placing = models.BooleanField()
    folded_to = models.DateTimeField()  # the time of the newest fact in it

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["set", "active"], name="standing_setstate_active"),
            models.UniqueConstraint(fields=["set"], name="standing_setstate_one_a_set"),
        ]
        indexes = [
            models.Index(fields=["team", "line", "active"], name="standing_setstate_of_line"),
            GistIndex(fields=["place"], name="standing_setstate_place"),
            GistIndex(fields=["mercator"], name="standing_setstate_mercator"),
            models.Index(
                fields=["responsible"],
                name="standing_setstate_of_member",
                condition=models.Q(active=True),
            ),
        ]


class SetPeriod(TeamRow):
    """How a set stood through a time. Never two for one set, nor one device in two sets."""

    set = TeamKey("lines.Set", db_index=False)
    during = DateTimeRangeField()
    place = gis.PointField(geography=True, spatial_index=False)
    placement = models.TextField()
    device = TeamKey("gear.Device", db_index=False)
    responsible = TeamKey("people.Membership")
    loop_diameter_m = models.FloatField(null=True)
    loop_height_m = models.FloatField(null=True)
    water_depth_m = models.FloatField(null=True)

    class Meta:
        constraints = [
            _never_twice("standing_setperiod_one_at_a_time", "set"),
            _never_twice("standing_setperiod_device_in_one_set", "device"),
        ]


class Interval(TeamRow):
    """From one look at a set to the next: what a rate is made of. Its key is the check's."""

    set = TeamKey("lines.Set", db_index=False)
    from_at = models.DateTimeField()
    till_at = models.DateTimeField()
    by = TeamKey("people.Membership")
    device_kind = TeamKey("gear.DeviceKind")
    found = models.TextField()
    targets = models.PositiveSmallIntegerField(default=0)
    others = models.PositiveSmallIntegerField(default=0)
    nights = models.GeneratedField(
        expression=models.ExpressionWrapper(
            Func(
                F("till_at") - F("from_at"),
                template="EXTRACT(EPOCH FROM %(expressions)s)",
                output_field=models.FloatField(),
            )
            / 86400.0,
            output_field=models.FloatField(),
        ),
        output_field=models.FloatField(),
        db_persist=True,
    )

    class Meta:
        indexes = [
            models.Index(fields=["set", "till_at"], name="standing_interval_of_set"),
            models.Index(fields=["team", "by"], name="standing_interval_by_member"),
        ]


class PartStay(TeamRow):
    """Where a part was through a time. Never in two places."""

    part = TeamKey("gear.Part", db_index=False)
    during = DateTimeRangeField()
    state = models.TextField()
    device = TeamKey("gear.Device", null=True)

    class Meta:
        constraints = [_never_twice("standing_partstay_one_place", "part")]
