"""Lines and sets, and what was recorded about them. All but Line are append-only."""

from django.contrib.gis.db import models as gis
from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q

from trapline.ground.models import TeamKey, TeamRow, one_of
from trapline.journal.models import MOST_PHOTO_BYTES, Fact
from trapline.lines import words


class Line(TeamRow):
    """A trapline: its name, its path, its time zone and how it is travelled."""

    name = models.TextField()
    tz = models.TextField()
    path = gis.LineStringField(geography=True, null=True, blank=True, spatial_index=False)
    travel = models.TextField(choices=words.Travel)
    status = models.TextField(choices=words.LineStatus, default=words.LineStatus.OPEN)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["team", "name"], name="lines_line_name_once"),
            one_of("travel", words.Travel, "lines_line"),
            one_of("status", words.LineStatus, "lines_line"),
        ]

    def __str__(self) -> str:
        return self.name


class Set(Fact):
    """A set. It bears one licence for its whole life; how it stands is its arrangements."""

    line = TeamKey(Line)
    label = models.TextField()
    licence = TeamKey("people.Licence")
    placed_by = TeamKey("people.Membership")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["team", "line", "label"], name="lines_set_label_once")
        ]

    def __str__(self) -> str:
        return self.label


class Target(Fact):
    """A species the set is made for."""

    set = TeamKey(Set)
    species = TeamKey("rulebook.Species")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["team", "set", "species"], name="lines_target_once")
        ]


class Check(Fact):
    """A look at a set: who, how, what was found, what was done. `at` is when it was made."""

    set = TeamKey(Set, db_index=False)
    by = TeamKey("people.Membership")
    tz = models.TextField()
    local_date = models.DateField()
    supervision = models.TextField(choices=words.Supervision, blank=True, default="")
    supervised_by = TeamKey("people.Membership", null=True)
    how_seen = models.TextField(choices=words.HowSeen)
    seen_from_m = models.FloatField(null=True)
    position = gis.PointField(geography=True, null=True, spatial_index=False)
    accuracy_m = models.FloatField(null=True)
    found = models.TextField(choices=words.Found)
    sign = models.TextField(choices=words.Sign, blank=True, default="")
    gone_how = models.TextField(choices=words.Gone, blank=True, default="")
    done = ArrayField(models.TextField(), default=list)
    placement_seen = models.TextField(choices=words.Placement, blank=True, default="")
    water_depth_m = models.FloatField(null=True)
    snow_depth_m = models.FloatField(null=True)
    reason = models.TextField(blank=True)  # storm, flood, thin ice: it explains, it moves nothing
    note = models.TextField(blank=True)
    counts = models.BooleanField()  # a visit that the rules count; 'not reached' is none
    flags = ArrayField(models.TextField(), default=list)
    corrects = TeamKey("self", null=True, db_index=False)
    withdraws = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["corrects"], name="lines_check_corrected_once"),
            one_of("how_seen", words.HowSeen, "lines_check"),
            one_of("found", words.Found, "lines_check"),
            models.CheckConstraint(
                condition=Q(sign__in=["", *words.Sign.values]), name="lines_check_sign_code"
            ),
            models.CheckConstraint(
                condition=Q(gone_how__in=["", *words.Gone.values]), name="lines_check_gone_code"
            ),
            models.CheckConstraint(
                condition=Q(found="gone") ^ Q(gone_how=""), name="lines_check_gone_says_how"
            ),
            models.CheckConstraint(
                condition=Q(found="sprung_empty") | Q(sign=""), name="lines_check_sign_when_sprung"
            ),
            models.CheckConstraint(
                condition=~Q(found="not_reached") | Q(counts=False),
                name="lines_check_not_reached_is_no_visit",
            ),
            models.CheckConstraint(
                condition=Q(withdraws=False) | Q(corrects__isnull=False),
                name="lines_check_withdraws_something",
            ),
            models.CheckConstraint(
                condition=Q(done__contained_by=words.Done.values), name="lines_check_done_codes"
            ),
        ]
        indexes = [
            models.Index(fields=["set", "at"], name="lines_check_of_set"),
            models.Index(  # few among many: what a reviewer should see
                fields=["team", "at"], name="lines_check_flagged", condition=~Q(flags=[])
            ),
        ]


class Arrangement(Fact):
    """From this moment the set stands so. What is null stands as before."""

    set = TeamKey(Set, db_index=False)
    cause = models.TextField(choices=words.Cause)
    by = TeamKey("people.Membership")
    check_made = TeamKey(Check, null=True)  # the check that did it, if one did
    place = gis.PointField(geography=True, null=True, spatial_index=False)
    accuracy_m = models.FloatField(null=True)
    placement = models.TextField(choices=words.Placement, null=True)
    device = TeamKey("gear.Device", null=True)
    responsible = TeamKey("people.Membership", null=True)
    tag = models.TextField(null=True)
    bait = models.TextField(null=True)
    bait_in_view = models.BooleanField(null=True)
    loop_diameter_m = models.FloatField(null=True)
    loop_height_m = models.FloatField(null=True)  # of the loop's bottom above what it stands on
    anchoring = models.TextField(null=True)
    water_depth_m = models.FloatField(null=True)
    snow_depth_m = models.FloatField(null=True)

    class Meta:
        constraints = [
            one_of("cause", words.Cause, "lines_arrangement"),
            one_of("placement", words.Placement, "lines_arrangement"),
            models.CheckConstraint(
                condition=~Q(cause="placed")
                | Q(
                    place__isnull=False,
                    placement__isnull=False,
                    device__isnull=False,
                    responsible__isnull=False,
                ),
                name="lines_arrangement_placed_is_whole",
            ),
        ]
        indexes = [models.Index(fields=["set", "at"], name="lines_arrangement_of_set")]


class Grant(Fact):
    """An officer's extension for one set: it moves the due moment of the authority that gave it."""

    set = TeamKey(Set, db_index=False)
    authority = TeamKey("rulebook.Authority")
    officer = models.TextField()
    number = models.TextField()
    until = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(until__gt=models.F("at")), name="lines_grant_until_later"
            )
        ]
        indexes = [models.Index(fields=["set", "until"], name="lines_grant_of_set")]


class Ending(Fact):
    """The set is out of business: pulled, or lost after searches by a manager's word."""

    set = TeamKey(Set, db_index=False)
    how = models.TextField(choices=words.Ended)
    by = TeamKey("people.Membership")
    check_made = TeamKey(Check, null=True)
    note = models.TextField(blank=True)

    class Meta:
        constraints = [one_of("how", words.Ended, "lines_ending")]
        indexes = [models.Index(fields=["set", "at"], name="lines_ending_of_set")]


class Catch(Fact):
    """An animal in a device. `animal` is its one number from the set to plate, buyer or officer."""

    check_made = TeamKey(Check)
    animal = models.UUIDField()
    species = TeamKey("rulebook.Species")
    sex = models.TextField(choices=words.Sex)
    age = models.TextField(choices=words.Age)
    alive_on_arrival = models.BooleanField()
    held_where = models.TextField(blank=True)
    is_target = models.BooleanField()
    fate = models.TextField(choices=words.Fate)
    means = models.TextField(blank=True)
    dispatched_by = TeamKey("people.Membership", null=True)
    condition = models.TextField(blank=True)
    handed_to = models.TextField(blank=True)
    reference = models.TextField(blank=True)
    weight_kg = models.FloatField(null=True)
    licence = TeamKey("people.Licence")
    zone = TeamKey("land.Zone", null=True)
    device_tag = models.TextField(blank=True)
    site_tag = models.TextField(blank=True)
    seal = models.TextField(blank=True)

    class Meta:
        constraints = [
            one_of("sex", words.Sex, "lines_catch"),
            one_of("age", words.Age, "lines_catch"),
            one_of("fate", words.Fate, "lines_catch"),
            models.CheckConstraint(
                condition=~Q(fate="dispatched") | Q(dispatched_by__isnull=False),
                name="lines_catch_dispatched_by_someone",
            ),
            models.UniqueConstraint(
                fields=["team", "check_made", "animal"], name="lines_catch_animal_once"
            ),
        ]
        indexes = [models.Index(fields=["team", "at"], name="lines_catch_by_time")]


class Photo(Fact):
    """A photograph of a check. Its key and hash are the phone's; the file comes apart from it.

    The check stands without the file, and shows that it is owed.
    """

    check_made = TeamKey(Check)
    sha256 = models.BinaryField()
    size = models.PositiveIntegerField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(size__gte=1, size__lte=MOST_PHOTO_BYTES), name="lines_photo_size"
            )
        ]


class Signal(Fact):
    """What a monitor on a set sent, and when it was heard."""

    set = TeamKey(Set, db_index=False)
    by = TeamKey("people.Membership")
    what = models.TextField(choices=words.Heard)

    class Meta:
        constraints = [one_of("what", words.Heard, "lines_signal")]
        indexes = [models.Index(fields=["set", "what", "at"], name="lines_signal_of_set")]


class Waiting(Fact):
    """An animal waiting: alive and held, or dead and not to be moved. An alarm before a catch."""

    set = TeamKey(Set)
    by = TeamKey("people.Membership")
    alive = models.BooleanField()
    species = TeamKey("rulebook.Species", null=True)
    note = models.TextField(blank=True)
    position = gis.PointField(geography=True, null=True, spatial_index=False)


class WaitingEnd(Fact):
    """How an animal's waiting ended. Once; again only after the check that ended it fell away."""

    waiting = TeamKey(Waiting, db_index=False)
    replaces = TeamKey("self", null=True, db_index=False)  # the end that fell away with its check
    by = TeamKey("people.Membership")
    fate = models.TextField(choices=words.Fate)
    means = models.TextField(blank=True)
    condition = models.TextField(blank=True)
    handed_to = models.TextField(blank=True)
    reference = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["waiting"],
                condition=Q(replaces__isnull=True),
                name="lines_waitingend_once",
            ),
            models.UniqueConstraint(fields=["replaces"], name="lines_waitingend_replaced_once"),
            one_of("fate", words.Fate, "lines_waitingend"),
        ]


class Series(Fact):
    """A run of numbers issued to a licence: a tag book."""

    licence = TeamKey("people.Licence")
    kind = models.TextField(choices=words.NumberKind)
    prefix = models.TextField(blank=True)
    first = models.PositiveIntegerField()
    last = models.PositiveIntegerField()

    class Meta:
        constraints = [
            one_of("kind", words.NumberKind, "lines_series"),
            models.CheckConstraint(
                condition=Q(last__gte=models.F("first")), name="lines_series_in_order"
            ),
        ]


class NumberSpent(Fact):
    """One number of a book: used on an animal, void, lost or returned. Once; otherwise only when

    the catch that used it is withdrawn, by a row that replaces the first.
    """

    series = TeamKey(Series)
    number = models.PositiveIntegerField()
    use = models.TextField(choices=words.NumberUse)
    animal = models.UUIDField(null=True)
    replaces = TeamKey("self", null=True, db_index=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["team", "series", "number"],
                condition=Q(replaces__isnull=True),
                name="lines_numberspent_once",
            ),
            models.UniqueConstraint(fields=["replaces"], name="lines_numberspent_replaced_once"),
            one_of("use", words.NumberUse, "lines_numberspent"),
            models.CheckConstraint(
                condition=Q(use="used") ^ Q(animal__isnull=True),
                name="lines_numberspent_used_on_an_animal",
            ),
        ]


class Reading(Fact):
    """A measurement on a line: snow, water, air, ice."""

    line = TeamKey(Line, db_index=False)
    by = TeamKey("people.Membership")
    what = models.TextField(choices=words.Measured)
    value = models.FloatField()

    class Meta:
        constraints = [one_of("what", words.Measured, "lines_reading")]
        indexes = [models.Index(fields=["line", "what", "at"], name="lines_reading_of_line")]
