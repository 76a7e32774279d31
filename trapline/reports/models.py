"""Report forms as a team has mapped them, reports as filed, and the making of long files."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from trapline.ground.models import TeamKey, TeamRow, one_of
from trapline.journal.models import Fact


class FormTaken(Fact):
    """A report form as the team takes it from a moment on, under its code."""

    code = models.SlugField()
    number = models.PositiveIntegerField()
    text = models.TextField()  # YAML, as it was sent
    sha256 = models.TextField()
    by = TeamKey("people.Membership")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["team", "code", "number"], name="reports_formtaken_number_once"
            )
        ]


class Filing(Fact):
    """A report as it was filed: its snapshot, byte for byte, and the versions of its inputs."""

    licence = TeamKey("people.Licence")
    form_code = models.SlugField()
    first = models.DateField()
    last = models.DateField()
    by = TeamKey("people.Membership")
    signed = models.TextField()
    note = models.TextField(blank=True)  # what explains what is left open
    snapshot = models.BinaryField()
    sha256 = models.TextField()
    inputs = models.JSONField()
    rows = models.PositiveIntegerField()
    amends = TeamKey("self", null=True, db_index=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["amends"], name="reports_filing_amended_once"),
            models.UniqueConstraint(
                fields=["team", "licence", "form_code", "first", "last"],
                condition=Q(amends__isnull=True),
                name="reports_filing_once",
            ),
            models.CheckConstraint(
                condition=Q(last__gte=models.F("first")), name="reports_filing_days_in_order"
            ),
        ]
        indexes = [models.Index(fields=["team", "at"], name="reports_filing_by_time")]


class Reckoned(TeamRow):
    """The groups of a yield page with their figures, as they were reckoned. Dropped when it is old.

    Right while the team's change count is the one it was reckoned under; after that a group is
    taken over where what it rests on has the same print, and a figure where its tallies have the
    same revision.
    """

    by = models.TextField()  # the way of grouping
    first = models.DateField(null=True)
    last = models.DateField(null=True)
    member = TeamKey("people.Membership", null=True, db_index=False)  # whose looks alone
    change = models.BigIntegerField()
    groups = models.JSONField()
    prints = models.JSONField(default=dict)  # by group, or of all under an empty key
    at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["team", "by", "first", "last", "member"],
                name="reports_reckoned_once",
                nulls_distinct=False,
            )
        ]


class Comparison(TeamRow):
    """What members' looks gave against what was to be expected, as last reckoned for these days."""

    first = models.DateField(null=True)
    last = models.DateField(null=True)
    at = models.DateTimeField()  # when it was reckoned
    change = models.BigIntegerField()  # the team's change count then
    method = models.TextField()
    members = models.JSONField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["team", "first", "last"],
                name="reports_comparison_once",
                nulls_distinct=False,
            )
        ]


class RunState(models.TextChoices):
    WAITING = "waiting", _("Waits for a worker")
    RUNNING = "running", _("Being made")
    DONE = "done", _("Made")
    FAILED = "failed", _("Failed")
    CANCELLED = "cancelled", _("Cancelled")


class Run(TeamRow):
    """A file that takes long to make. Kept when made; taken up again when its worker died."""

    filing = TeamKey(Filing, db_index=False)
    form = models.TextField()  # pdf
    asked_by = TeamKey("people.Membership")
    asked_at = models.DateTimeField()
    state = models.TextField(choices=RunState, default=RunState.WAITING)
    taken_at = models.DateTimeField(null=True)  # by a worker; too long ago: it died
    attempts = models.PositiveSmallIntegerField(default=0)
    pages_done = models.PositiveIntegerField(default=0)
    pages = models.PositiveIntegerField(default=0)
    made_at = models.DateTimeField(null=True)
    file = models.BinaryField(null=True)
    error = models.TextField(blank=True, default="")

    class Meta:
        constraints = [
            one_of("state", RunState, "reports_run"),
            models.UniqueConstraint(fields=["filing", "form"], name="reports_run_once"),
            models.CheckConstraint(
                condition=Q(state="done") ^ Q(file__isnull=True), name="reports_run_done_has_file"
            ),
        ]
        indexes = [
            models.Index(
                fields=["asked_at"],
                name="reports_run_owed",
                condition=Q(state__in=["waiting", "running"]),
            )
        ]
