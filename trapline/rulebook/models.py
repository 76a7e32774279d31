"""Rules as data. One table of rules, each with its matter, its form and what it applies to."""

from django.contrib.postgres.fields import ArrayField
from django.contrib.postgres.indexes import GinIndex
from django.db import models
from django.utils.translation import gettext_lazy as _

from trapline.ground.models import TeamKey, TeamRow, one_of
from trapline.journal.models import Fact


class AuthorityKind(models.TextChoices):
    STATE = "state", _("State")
    AREA = "special_area", _("Special area")
    PERMISSION = "permission", _("Land permission")
    TEAM = "team", _("Team")


class Matter(models.TextChoices):
    CHECK = "check", _("Check interval")
    SEASON = "season", _("Season")
    LIMIT = "limit", _("Bag limit or quota")
    DEVICE = "device", _("Device")
    LOOP = "loop", _("Loop")
    PART = "part", _("Part of the device")
    TAG = "tag", _("Tag on the device")
    BAIT = "bait", _("Bait")
    SETBACK = "setback", _("Setback")
    TENDING = "tending", _("Hours of tending")
    SKILL = "skill", _("Sign-off")
    SUPERVISION = "supervision", _("Supervision")
    AGENT = "agent", _("Under another’s licence")
    REPORT = "report", _("Report")
    SEAL = "seal", _("Sealing and tagging")
    SAMPLE = "sample", _("Sample handed in")


class Handling(models.TextChoices):
    KEEP = "keep", _("Keep")
    RELEASE = "release", _("Release at once")
    CALL = "leave_and_call", _("Leave and call first")
    HAND_IN = "hand_in", _("Hand in")


class SampleOf(models.TextChoices):
    """What an authority or a laboratory asks for of an animal."""

    TOOTH = "tooth", _("Tooth")
    JAW = "jaw", _("Lower jaw")
    HEAD = "head", _("Head")
    CARCASS = "carcass", _("Skinned carcass")
    TRACT = "reproductive_tract", _("Reproductive tract")
    TISSUE = "tissue", _("Tissue")


class Authority(TeamRow):
    """Who made a rule. Between authorities the strictest binds."""

    code = models.SlugField()
    name = models.TextField()
    kind = models.TextField(choices=AuthorityKind)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["team", "code"], name="rulebook_authority_once"),
            one_of("kind", AuthorityKind, "rulebook_authority"),
        ]

    def __str__(self) -> str:
        return self.name


class Species(TeamRow):
    """An animal the rulebook speaks of, and the card that says what to do with a live one."""

    code = models.SlugField()
    name = models.TextField()
    latin = models.TextField(blank=True)
    handling = models.TextField(choices=Handling, default=Handling.CALL)
    card = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["team", "code"], name="rulebook_species_once"),
            one_of("handling", Handling, "rulebook_species"),
        ]

    def __str__(self) -> str:
        return self.name


class Version(Fact):
    """A rulebook as it was taken in. In force from `at` until the next version's `at`."""

    number = models.PositiveIntegerField()
    title = models.TextField()
    document = models.JSONField()
    taken_by = TeamKey("people.Membership")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["team", "number"], name="rulebook_version_number_once")
        ]
        indexes = [models.Index(fields=["team", "at"], name="rulebook_version_by_time")]


class Closure(Fact):
    """A species closed by notice in a zone (blank: everywhere) from a moment on."""

    authority = TeamKey(Authority)
    species = TeamKey(Species)
    zone_code = models.TextField(blank=True)
    from_at = models.DateTimeField()
    pull_by = models.DateTimeField()  # the notice's grace: what stands is pulled by then
    reference = models.TextField()
    note = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(pull_by__gte=models.F("from_at")),
                name="rulebook_closure_grace_after",
            )
        ]
        indexes = [models.Index(fields=["team", "from_at"], name="rulebook_closure_by_time")]


class Reopening(Fact):
    """A closure by notice ends, by another notice."""

    closure = TeamKey(Closure, db_index=False)
    from_at = models.DateTimeField()
    reference = models.TextField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["closure"], name="rulebook_reopening_once")]


class Rule(Fact):
    """One rule of one version. An empty list of what it applies to means: all."""

    version = TeamKey(Version, db_index=False)
    code = models.SlugField(max_length=80)
    matter = models.TextField(choices=Matter)
    authority = TeamKey(Authority)
    form = models.TextField()
    params = models.JSONField()
    device_classes = ArrayField(models.TextField(), default=list)
    actions = ArrayField(models.TextField(), default=list)
    placements = ArrayField(models.TextField(), default=list)
    zone_codes = ArrayField(models.TextField(), default=list)
    species_codes = ArrayField(models.TextField(), default=list)
    licence_kinds = ArrayField(models.TextField(), default=list)
    from_day = models.PositiveSmallIntegerField(null=True)  # month x 100 + day, first day it holds
    until_day = models.PositiveSmallIntegerField(null=True)  # last day it holds; may wrap the year
    holds_from = models.DateTimeField(null=True)  # effective dates: from this moment on
    holds_until = models.DateTimeField(null=True)  # up to this one, it not included
    instead_of = ArrayField(
        models.TextField(), default=list
    )  # codes of wider rules, same authority
    source = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["team", "version", "code"], name="rulebook_rule_code_once"
            ),
            one_of("matter", Matter, "rulebook_rule"),
        ]
        indexes = [
            models.Index(fields=["version", "matter"], name="rulebook_rule_of_version"),
            GinIndex(fields=["zone_codes"], name="rulebook_rule_by_zone"),
        ]

    def __str__(self) -> str:
        return self.code
