"""Duties: what must be done by a time. Their transitions, and the outbox of notices."""

from django.db import models
from django.db.models import F, Func, Q
from django.utils.translation import gettext_lazy as _

from trapline.ground.models import Row, TeamKey, TeamRow, one_of
from trapline.journal.models import Fact

OPEN = ("open", "overdue")


class Kind(models.TextChoices):
    CHECK = "check", _("Check")
    WAITING = "animal_waiting", _("Animal waiting")
    SEARCH = "search", _("Search")
    LOG_CATCH = "log_catch", _("Catch to be logged")
    PULL = "pull", _("Pull before the close")
    REPORT = "report", _("Report the animal")
    SEAL = "seal", _("Seal or tag")
    SAMPLE = "sample", _("Hand a sample in")
    FILE = "file", _("File the report")
    RENEW = "renew", _("Renew the permission")
    STOCK = "stock", _("Buy more")


# Kinds of which a subject has at most one open duty for each rule that asks.
ASKED_ONCE = {
    "caught": (Kind.REPORT, Kind.SEAL, Kind.SAMPLE),
    "licence": (Kind.FILE,),
    "set": (Kind.PULL,),
    "permission": (Kind.RENEW,),
    "part_kind": (Kind.STOCK,),
}


class State(models.TextChoices):
    OPEN = "open", _("Open")
    OVERDUE = "overdue", _("Overdue")
    DONE = "done", _("Done")
    CANCELLED = "cancelled", _("No longer asked")


class Duty(TeamRow):
    """A thing to be done by `due_at`. Null: nothing binds it to a time, and the page says so."""

    kind = models.TextField(choices=Kind)
    set = TeamKey("lines.Set", null=True, db_index=False)
    waiting = TeamKey("lines.Waiting", null=True, db_index=False)
    line = TeamKey("lines.Line", null=True, db_index=False)
    licence = TeamKey("people.Licence", null=True, db_index=False)
    caught = TeamKey("lines.Catch", null=True, db_index=False)
    permission = TeamKey("land.Permission", null=True, db_index=False)
    part_kind = TeamKey("gear.PartKind", null=True, db_index=False)
    # Where it is to be done, whatever its subject: the lists read it without a join.
    of_line = TeamKey("lines.Line", null=True, db_index=False)
    # TRUE while a check duty is open: a key to the set's state, so a pulled set cannot have one.
    on_active = models.BooleanField(null=True)
    who = TeamKey("people.Membership", null=True, db_index=False)
    rule = TeamKey("rulebook.Rule", null=True, db_index=False)
    # The code of the rule that asks: it names the duty over all versions of the rulebook.
    asked = models.TextField(blank=True, default="", db_default="")
    basis_at = models.DateTimeField()  # the visit or event it counts from
    due_at = models.DateTimeField(null=True)
    state = models.TextField(choices=State, default=State.OPEN)
    done_at = models.DateTimeField(null=True)
    done_by = TeamKey("journal.Act", null=True, db_index=False)
    stage = models.PositiveSmallIntegerField(default=0)  # stages already told
    next_at = models.DateTimeField(null=True)  # when the sweep has something to do with it
    stamp = models.BigIntegerField(default=0)  # the team's rule stamp it was reckoned under

    class Meta:
        constraints = [
            one_of("kind", Kind, "duties_duty"),
            one_of("state", State, "duties_duty"),
            models.CheckConstraint(
                condition=Q(
                    Func(
                        F("set"),
                        F("waiting"),
                        F("line"),
                        F("licence"),
                        F("caught"),
                        F("permission"),
                        F("part_kind"),
                        template="num_nonnulls(%(expressions)s) = 1",
                        output_field=models.BooleanField(),
                    )
                ),
                name="duties_duty_one_subject",
            ),
            models.CheckConstraint(
                condition=Q(of_line__isnull=False)
                | Q(set__isnull=True, waiting__isnull=True, line__isnull=True, caught__isnull=True),
                name="duties_duty_of_a_line",
            ),
            models.UniqueConstraint(
                fields=["set"],
                condition=Q(kind="check", state__in=OPEN),
                name="duties_duty_one_open_check",
            ),
            *(
                models.UniqueConstraint(
                    fields=[subject, "kind", "asked"],
                    condition=Q(state__in=OPEN, kind__in=kinds),
                    name=f"duties_duty_once_a_{subject}",
                )
                for subject, kinds in ASKED_ONCE.items()
            ),
            models.UniqueConstraint(
                fields=["waiting"],
                condition=Q(kind="animal_waiting", state__in=OPEN),
                name="duties_duty_one_waiting",
            ),
            models.CheckConstraint(
                # Not null is said apart: a check that comes to null lets a row pass.
                condition=(
                    Q(kind="check", state__in=OPEN) & Q(on_active__isnull=False, on_active=True)
                )
                | (~Q(kind="check", state__in=OPEN) & Q(on_active__isnull=True)),
                name="duties_duty_open_check_on_active",
            ),
            models.CheckConstraint(
                condition=Q(state="done") ^ Q(done_at__isnull=True),
                name="duties_duty_done_has_time",
            ),
        ]
        indexes = [
            models.Index(
                fields=["team", "next_at"], name="duties_duty_next", condition=Q(state__in=OPEN)
            ),
            models.Index(
                fields=["team", "due_at"],
                include=["of_line", "kind"],
                name="duties_duty_open",
                condition=Q(state__in=OPEN),
            ),
            models.Index(
                fields=["team", "stamp"],
                name="duties_duty_stamp",
                condition=Q(kind="check", state__in=OPEN),
            ),
            models.Index(fields=["set", "basis_at"], name="duties_duty_of_set"),
            *(
                models.Index(
                    fields=[subject],
                    name=f"duties_duty_of_{subject}",
                    condition=Q(**{f"{subject}__isnull": False}),
                )
                # Most rows have none of these: each row written would pay for all of them.
                for subject in (
                    "waiting",
                    "line",
                    "licence",
                    "caught",
                    "permission",
                    "part_kind",
                    "done_by",
                )
            ),
        ]


class Evidence(Fact):
    """What shows that a duty was done: the number of a report or a seal, its day, a note, and a

    photograph, which belongs to the check at which the animal was found.
    """

    duty = TeamKey(Duty)
    by = TeamKey("people.Membership")
    number = models.TextField(blank=True)
    on = models.DateField()
    note = models.TextField(blank=True)
    photo = TeamKey("lines.Photo", null=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(number="") | ~Q(note="") | Q(photo__isnull=False),
                name="duties_evidence_says_something",
            )
        ]


class Transition(TeamRow):
    """A duty changed state. `at` is when it was so; `noticed_at` when the machine saw it."""

    duty = TeamKey(Duty)
    was = models.TextField()
    now = models.TextField()
    at = models.DateTimeField()
    noticed_at = models.DateTimeField()
    due_at = models.DateTimeField(null=True)  # the value the decision rested on


class Recipient(models.TextChoices):
    RESPONSIBLE = "responsible", _("Who is responsible")
    INSTRUCTOR = "instructor", _("Their instructor")
    MANAGERS = "managers", _("Managers")


class Channel(models.TextChoices):
    EMAIL = "email", _("E-mail")


class Stage(Row):
    """The team's setting: who is told, how long before (negative) or after a duty falls due."""

    team = models.ForeignKey("people.Team", models.CASCADE, related_name="+")
    kind = models.TextField(choices=Kind)
    number = models.PositiveSmallIntegerField()  # in order of offset; never one told before
    offset_s = models.IntegerField()
    recipient = models.TextField(choices=Recipient)
    channel = models.TextField(choices=Channel, default=Channel.EMAIL)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["team", "kind", "number"], name="duties_stage_once"),
            one_of("kind", Kind, "duties_stage"),
            one_of("recipient", Recipient, "duties_stage"),
            one_of("channel", Channel, "duties_stage"),
        ]


class NoticeState(models.TextChoices):
    QUEUED = "queued", _("Waiting to be sent")
    FLYING = "in_flight", _("Being sent")
    SENT = "sent", _("Sent")
    FAILED = "failed", _("Could not be sent")
    MOOT = "moot", _("Not sent: done in the meantime")


class Notice(TeamRow):
    """The outbox. One row a duty, stage, recipient and channel, however often one sweeps."""

    duty = TeamKey(Duty, db_index=False)
    stage = models.PositiveSmallIntegerField()
    to = TeamKey("people.Membership")
    channel = models.TextField(choices=Channel)
    made_at = models.DateTimeField()
    due_at = models.DateTimeField(null=True)
    state = models.TextField(choices=NoticeState, default=NoticeState.QUEUED)
    attempts = models.PositiveSmallIntegerField(default=0)
    retry_after = models.DateTimeField()
    flying_since = models.DateTimeField(null=True)
    sent_at = models.DateTimeField(null=True)
    error = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["duty", "stage", "to", "channel"], name="duties_notice_once"
            ),
            one_of("state", NoticeState, "duties_notice"),
            one_of("channel", Channel, "duties_notice"),
        ]
        indexes = [
            models.Index(
                fields=["retry_after"],
                name="duties_notice_owed",
                condition=Q(state__in=["queued", "in_flight"]),
            ),
            models.Index(fields=["team", "made_at"], name="duties_notice_by_time"),
        ]
