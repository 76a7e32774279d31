"""Findings: reasons why a set is unsafe or unlawful. Opened and closed by the facts only."""

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import F, Func, Q
from django.utils.translation import gettext_lazy as _

from trapline.gear.models import DeviceClass
from trapline.ground.models import TeamKey, TeamRow, one_of


class Severity(models.TextChoices):
    STOP = "stop", _("Stop")
    MEND = "mend", _("Mend")
    WATCH = "watch", _("Watch")


RANK = {Severity.STOP: 0, Severity.MEND: 1, Severity.WATCH: 2}


class Finding(TeamRow):
    """One reason, about one subject: a set, a licence, a zone by its code, or the whole team's

    take of a species. `discriminator` tells two of one code apart: a species, a kind of feature,
    a part's role. An acknowledgement says why it may stand for now; it never closes it.
    """

    set = TeamKey("lines.Set", null=True, db_index=False)
    licence = TeamKey("people.Licence", null=True)
    zone_code = models.TextField(null=True)
    species = TeamKey("rulebook.Species", null=True)
    code = models.TextField()
    discriminator = models.TextField(blank=True, default="")
    severity = models.TextField(choices=Severity)
    numbers = models.JSONField(default=dict)
    rule = TeamKey("rulebook.Rule", null=True, db_index=False)
    opened_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True)
    opened_by = TeamKey("journal.Act", null=True, db_index=False)  # null: time or a rule did it
    closed_by = TeamKey("journal.Act", null=True, db_index=False)
    acknowledged_by = TeamKey("journal.Act", null=True, db_index=False)
    acknowledged_at = models.DateTimeField(null=True)
    reason = models.TextField(blank=True, default="")

    class Meta:
        constraints = [
            one_of("severity", Severity, "findings_finding"),
            models.CheckConstraint(
                condition=Q(
                    Func(
                        F("set"),
                        F("licence"),
                        F("zone_code"),
                        F("species"),
                        template="num_nonnulls(%(expressions)s) = 1",
                        output_field=models.BooleanField(),
                    )
                ),
                name="findings_finding_one_subject",
            ),
            models.CheckConstraint(
                condition=Q(acknowledged_by=None, acknowledged_at=None, reason="")
                | (Q(acknowledged_by__isnull=False, acknowledged_at__isnull=False) & ~Q(reason="")),
                name="findings_finding_acknowledged_with_a_reason",
            ),
            models.CheckConstraint(
                condition=Q(closed_at=None) | Q(closed_at__gte=F("opened_at")),
                name="findings_finding_closed_after_opened",
            ),
            models.UniqueConstraint(
                fields=["set", "licence", "zone_code", "species", "code", "discriminator", "team"],
                condition=Q(closed_at=None),
                nulls_distinct=False,
                name="findings_finding_one_open",
            ),
        ]
        indexes = [
            models.Index(
                fields=["team", "severity"],
                name="findings_finding_open",
                condition=Q(closed_at=None),
            ),
            models.Index(fields=["set", "opened_at"], name="findings_finding_of_set"),
        ]


class Look(TeamRow):
    """When the findings of a set were last reckoned, and when they next turn by themselves.

    Its key is the set's. `next_at` is null for a set that is out of business.
    """

    set = TeamKey("lines.Set", db_index=False)
    stamp = models.BigIntegerField()  # the team's rule stamp it was reckoned under
    looked_at = models.DateTimeField()
    next_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["set"], name="findings_look_one_a_set")]
        indexes = [
            models.Index(fields=["team", "next_at"], name="findings_look_next"),
            models.Index(fields=["team", "stamp"], name="findings_look_stamp"),
        ]


class FitWhat(models.TextChoices):
    """What a row of the device-fit table says of a device and a species."""

    HOLDS = "holds", _("Holds it")
    ENDANGERS = "endangers", _("Endangers it")
    CABLE = "cable", _("Cable that holds it")
    LOOP = "loop", _("Loop diameter for it")
    HEIGHT = "height", _("Loop height for it")
    DEPTH = "depth", _("Water depth that holds it under")


class FitSource(models.TextChoices):
    PUBLISHED = "published", _("Published")
    PRACTICE = "common_practice", _("Common practice, no source")
    MEMORY = "from_memory", _("From memory")
    TEAM = "team", _("The team’s own")


class Fit(TeamRow):
    """The team's own row of the device-fit table; it stands in place of the shipped one.

    Never law. Sizes in metres: inside jaw spread, cable diameter, loop, height or water depth.
    """

    device_class = models.TextField(choices=DeviceClass)
    species_code = models.TextField()
    what = models.TextField(choices=FitWhat)
    from_m = models.FloatField(null=True)
    to_m = models.FloatField(null=True)
    placements = ArrayField(models.TextField(), default=list, blank=True)
    source = models.TextField(blank=True)
    act = TeamKey("journal.Act", db_index=False)

    class Meta:
        constraints = [
            one_of("device_class", DeviceClass, "findings_fit"),
            one_of("what", FitWhat, "findings_fit"),
            models.UniqueConstraint(
                fields=["team", "device_class", "species_code", "what"], name="findings_fit_once"
            ),
            models.CheckConstraint(
                condition=Q(to_m=None) | Q(from_m=None) | Q(to_m__gte=F("from_m")),
                name="findings_fit_sizes_in_order",
            ),
        ]
