"""What the record amounts to. Every row here can be made again from the facts, by one path."""

from django.contrib.gis.db import models as gis
from django.contrib.postgres.constraints import ExclusionConstraint
from django.contrib.postgres.fields import ArrayField, DateTimeRangeField, RangeOperators
from django.contrib.postgres.indexes import GistIndex
from django.db import models
from django.db.models import Case, F, Func, Q, When

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
    responsible = TeamKey("people.Membership", db_index=False)
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
    # The first month whose tallies are to be counted anew; null: all of them are right.
    untallied_from = models.DateField(null=True)
    # Tells one content of all its tallies from another; counted with them.
    tallied = models.BigIntegerField(null=True)

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
    alive = models.PositiveSmallIntegerField(default=0)  # of both, on arrival
    day = models.DateField()  # of the later look, on the line's calendar
    sign = models.TextField(default="")
    placement = models.TextField()  # as it stood from the earlier look on
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
    # Nights in service of a device found buried or frozen in, where readings date its failing.
    served = models.FloatField(null=True)
    # What `Tally.pack` keeps beside the nights, read by `standing.packs`.
    told = models.GeneratedField(
        expression=Func(
            F("day"),
            template="16 * (%(expressions)s - '1970-01-01'::date)",
            output_field=models.IntegerField(),
        )
        + Case(When(Q(targets__gt=0) | Q(others__gt=0), then=8), default=0)
        + Case(
            When(found="in_order", then=0),
            When(found="animal", targets__gt=0, then=1),
            When(found="animal", then=2),
            When(found="sprung_empty", then=3),
            When(served__isnull=False, then=5),
            default=4,
        ),
        output_field=models.IntegerField(),
        db_persist=True,
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(served=None)
                | Q(found="buried", served__gte=0) & Q(served__lte=F("nights")),
                name="standing_interval_served_of_its_nights",
            )
        ]
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


class Tally(TeamRow):
    """What the intervals of one set and month come to, of one member, kind of device and placement.

    Counted from `Interval` and never added to, so that a correction cannot leave it wrong: the fold
    writes down from which month a set is to be counted anew (`SetState.untallied_from`), a worker
    counts (`tally.sql`), and whoever reads counts for itself what is not counted yet. So an act
    pays for one column, and a figure is right at any moment, counted or not.

    `pack` holds the intervals in order of time, 12 bytes each: float8 nights (in service, where a
    failing is dated), int4 `told`.
    `revision` tells one content from another.
    """

    set = TeamKey("lines.Set", db_index=False)
    month = models.DateField()  # its first day
    by = TeamKey("people.Membership", db_index=False)
    device_kind = TeamKey("gear.DeviceKind", db_index=False)
    placement = models.TextField()
    looks = models.PositiveIntegerField()
    nights = models.FloatField()
    targets = models.PositiveIntegerField()
    others = models.PositiveIntegerField()
    alive = models.PositiveIntegerField()
    escaped = models.PositiveIntegerField()  # sprung empty with an animal's sign
    unknown = models.PositiveIntegerField()  # sprung empty with no sign that could be read
    pack = models.BinaryField()
    revision = models.BigIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["set", "month", "by", "device_kind", "placement"],
                name="standing_tally_once",
            )
        ]
        indexes = [models.Index(fields=["team", "month"], name="standing_tally_of_team")]
