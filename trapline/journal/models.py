"""The book every act is first written in: the only idempotency key of the house."""

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.utils.translation import gettext_lazy as _

from trapline.ground.models import Row, TeamKey, TeamRow, one_of


class ActState(models.TextChoices):
    APPLIED = "applied", _("Applied")
    HELD = "held", _("Waits for an earlier act")
    REVIEW = "needs_review", _("Needs review")
    DECLINED = "declined", _("Declined by a reviewer")


class Act(TeamRow):
    """What was sent, byte for byte. The program's role can move only its state, never its words."""

    kind = models.TextField()
    version = models.PositiveSmallIntegerField()
    acted_by = TeamKey("people.Membership")
    sent_by = TeamKey("people.Membership")
    needs = ArrayField(models.UUIDField(), default=list)
    body = models.BinaryField()
    sha256 = models.BinaryField()
    acted_at = models.DateTimeField()  # wall clock less the skew: the time of the act
    wall_at = models.DateTimeField()  # as the device's clock said
    skew_s = models.FloatField(default=0)  # device clock less server clock at sync
    mono_s = models.FloatField(null=True)  # evidence only: it stops while a phone sleeps
    session = models.TextField(blank=True)
    fix_at = models.DateTimeField(null=True)  # the position's own time
    clock_flagged = models.BooleanField(default=False)
    received_at = models.DateTimeField()
    # What may move:
    state = models.TextField(choices=ActState)
    reason = models.JSONField(null=True)  # field, code, values
    waits_for = models.UUIDField(null=True)
    settled_at = models.DateTimeField(null=True)
    settled_by = TeamKey("people.Membership", null=True)

    class Meta:
        constraints = [one_of("state", ActState, "journal_act")]
        indexes = [
            models.Index(
                fields=["team", "received_at"],
                name="journal_act_open",
                condition=models.Q(state__in=["held", "needs_review"]),
            ),
            models.Index(
                fields=["waits_for"],
                name="journal_act_waiting",
                condition=models.Q(state="held"),
            ),
            # Few among many: who said what of a kind of gear, and who opened the stop page.
            models.Index(
                fields=["team", "acted_at"],
                name="journal_act_of_kinds",
                condition=models.Q(
                    kind__in=["name_device_kind", "name_part_kind", "open_stop_page"]
                ),
            ),
        ]


MOST_PHOTO_BYTES = 400 * 1024


class PhotoSent(TeamRow):
    """A photograph's file, byte for byte as a phone sent it; its key is the phone's id of it.

    It may come before the act that tells of it, so that no photo waits on a phone for a reviewer.
    """

    media_type = models.TextField()
    bytes = models.BinaryField()
    # The database reckons it, so it is that of the bytes whatever a program says.
    sha256 = models.GeneratedField(
        expression=models.Func("bytes", function="sha256"),
        output_field=models.BinaryField(),
        db_persist=True,
    )
    sent_by = TeamKey("people.Membership")
    received_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(media_type__in=["image/jpeg", "image/png", "image/webp"]),
                name="journal_photosent_media_type",
            ),
            models.CheckConstraint(
                condition=models.lookups.LessThanOrEqual(
                    models.Func(
                        "bytes", function="octet_length", output_field=models.IntegerField()
                    ),
                    MOST_PHOTO_BYTES,
                ),
                name="journal_photosent_at_most_400_kib",
            ),
        ]


class Fact(TeamRow):
    """A row of the record, written by an act and never changed."""

    act = TeamKey(Act)
    at = models.DateTimeField()  # when it was so

    class Meta:
        abstract = True


class Setting(Row):
    """A team's own choice of a number or a code; one row a name. Not part of the record."""

    team = models.ForeignKey("people.Team", models.CASCADE, related_name="+")
    name = models.SlugField()
    value = models.JSONField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["team", "name"], name="journal_setting_once")
        ]


class Stray(Row):
    """An act for a team that its sender is not in, or that is not there: never told apart.

    The bytes are kept, so that the phone may forget them; they wait under the sender's name.
    """

    person = models.ForeignKey("people.Person", models.CASCADE, related_name="+", db_index=False)
    act = models.UUIDField()
    team_said = models.TextField()
    body = models.BinaryField()
    sha256 = models.BinaryField()
    wall_at = models.DateTimeField()
    skew_s = models.FloatField(default=0)
    received_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["person", "act"], name="journal_stray_once")]
