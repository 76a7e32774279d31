"""Persons, teams, who is what in which team, licences, skills and sign-offs."""

from typing import Any

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from trapline.ground.models import Row, TeamKey, TeamRow, one_of


class Units(models.TextChoices):
    METRIC = "metric", _("Metric")
    IMPERIAL = "imperial", _("Imperial")


class Light(models.TextChoices):
    SYSTEM = "system", _("As the device")
    LIGHT = "light", _("Light")
    DARK = "dark", _("Dark")
    RED = "red", _("Red light")


class Role(models.TextChoices):
    MANAGER = "manager", _("Manager")
    INSTRUCTOR = "instructor", _("Instructor")
    MEMBER = "member", _("Member")


class AgentDeed(models.TextChoices):
    """What a paper may let somebody do under another's licence."""

    TEND = "tend", _("tend")
    KILL = "kill", _("kill")
    CARRY = "carry", _("carry")
    TAG = "tag", _("tag")


class PersonManager(BaseUserManager["Person"]):
    """Makes people; looks a sign-in name up without regard to case."""

    def create_user(self, sign_in_name: str, password: str | None = None, **more: Any) -> "Person":
        person = self.model(sign_in_name=sign_in_name, **more)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def get_by_natural_key(self, username: str | None) -> "Person":
        return self.get(sign_in_name__iexact=username)


class Person(AbstractBaseUser, Row):
    """Who signs in. Record rows point to memberships, so a person can be erased."""

    sign_in_name = models.TextField(_("sign-in name"))
    name = models.TextField(_("name"))
    email = models.EmailField(_("e-mail"), blank=True)
    units = models.TextField(_("units"), choices=Units, default=Units.METRIC)
    light = models.TextField(_("light"), choices=Light, default=Light.SYSTEM)
    language = models.TextField(_("language"), default="en")
    is_active = models.BooleanField(default=True)
    made_at = models.DateTimeField(auto_now_add=True)

    objects = PersonManager()
    USERNAME_FIELD = "sign_in_name"
    EMAIL_FIELD = "email"

    class Meta:
        constraints = [
            models.UniqueConstraint(Lower("sign_in_name"), name="people_person_sign_in_name_once"),
            models.UniqueConstraint(
                Lower("email"), name="people_person_email_once", condition=~models.Q(email="")
            ),
            models.CheckConstraint(
                condition=~models.Q(sign_in_name=""), name="people_person_has_sign_in_name"
            ),
            one_of("units", Units, "people_person"),
            one_of("light", Light, "people_person"),
        ]

    def __str__(self) -> str:
        return self.name


class Team(Row):
    """A trapping team or a class: the wall around everything below."""

    name = models.TextField(_("name"))
    slug = models.SlugField(_("address"), unique=True)
    # Raised by whatever changes which rules bind (rulebook, zones, readings, grants, closures).
    rule_stamp = models.BigIntegerField(default=1)
    # Raised by each act: the validator of lists and map tiles.
    change_count = models.BigIntegerField(default=0)
    made_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.name


class Membership(TeamRow):
    """A person in a team, in a role. It stays when the person is erased."""

    person = models.ForeignKey(Person, models.SET_NULL, null=True, related_name="+")
    role = models.TextField(choices=Role)
    name = models.TextField()  # as it stood in the record; kept when the person is erased
    instructor = TeamKey("self", null=True, blank=True)  # who answers for this student
    since = models.DateTimeField(auto_now_add=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["team", "person"], name="people_membership_once"),
            one_of("role", Role, "people_membership"),
        ]

    def __str__(self) -> str:
        return self.name


class Licence(TeamRow):
    """A trapping licence. A set bears one, an animal counts against one."""

    holder = TeamKey(Membership)
    number = models.TextField()
    authority = models.TextField()
    kind = models.TextField(blank=True)
    valid_from = models.DateField()
    valid_until = models.DateField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["team", "number"], name="people_licence_number_once"),
            models.CheckConstraint(
                condition=models.Q(valid_until__gte=models.F("valid_from")),
                name="people_licence_dates_in_order",
            ),
        ]

    def __str__(self) -> str:
        return self.number


class Skill(TeamRow):
    """What a person can be signed off for: a device class, dispatch, work on ice."""

    code = models.SlugField()
    name = models.TextField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["team", "code"], name="people_skill_code_once")
        ]

    def __str__(self) -> str:
        return self.name


class SignOff(TeamRow):
    """An instructor's word that a member may do something alone, from a moment, until another."""

    member = TeamKey(Membership)
    skill = TeamKey(Skill)
    given_by = TeamKey(Membership)
    given_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [
            models.Index(fields=["team", "member", "skill"], name="people_signoff_of_member")
        ]


class Papers(TeamRow):
    """Written leave to tend, kill, carry or tag under another's licence."""

    licence = TeamKey(Licence)
    agent = TeamKey(Membership)
    may = ArrayField(models.TextField())  # tend, kill, carry, tag
    reference = models.TextField()
    valid_from = models.DateField()
    valid_until = models.DateField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(valid_until__gte=models.F("valid_from")),
                name="people_papers_dates_in_order",
            ),
            models.CheckConstraint(
                condition=models.Q(
                    may__contained_by=["tend", "kill", "carry", "tag"], may__len__gt=0
                ),
                name="people_papers_may_do_something",
            ),
        ]
