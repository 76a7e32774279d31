"""Device kinds and their parts; devices as assemblies of parts; what happened to each part."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from trapline.ground.models import TeamKey, TeamRow, one_of
from trapline.journal.models import Fact


class DeviceClass(models.TextChoices):
    COIL = "foothold_coil", _("Foothold trap, coil-spring")
    LONG = "foothold_long", _("Foothold trap, long-spring")
    BODY = "body_gripping", _("Body-gripping trap")
    SNARE = "snare", _("Snare")
    RESTRAINT = "cable_restraint", _("Cable restraint")
    CAGE = "cage", _("Cage trap")


class Action(models.TextChoices):
    HOLDING = "holding", _("Holds alive")
    KILLING = "killing", _("Kills")


class PartRole(models.TextChoices):
    CABLE = "cable", _("Cable")
    LOCK = "lock", _("Lock")
    SWIVEL = "swivel", _("Swivel")
    SUPPORT = "support", _("Support")
    BREAKAWAY = "breakaway", _("Breakaway")
    STOP = "stop", _("Stop")
    FRAME = "frame", _("Frame")
    SPRING = "spring", _("Spring")
    TRIGGER = "trigger", _("Trigger")
    DOG = "dog", _("Dog")
    PAN = "pan", _("Pan")
    CHAIN = "chain", _("Chain")
    STAKE = "stake", _("Stake")


class AfterCatch(models.TextChoices):
    SPENT = "spent", _("Spent by a catch")
    FREED = "freed", _("Goes back to stock for inspection")
    STAYS = "stays", _("Stays in the device")


class PartState(models.TextChoices):
    BUILT_IN = "built_in", _("In a device")
    STOCK = "stock", _("In stock")
    INSPECT = "inspect", _("In stock, to be inspected")
    SPENT = "spent", _("Spent")
    BROKEN = "broken", _("Broken")
    LOST = "lost", _("Lost")
    RETIRED = "retired", _("Retired")


class Kept(models.TextChoices):
    STORE = "store", _("In store")
    LENT = "lent", _("Lent")
    LOST = "lost", _("Lost")
    RETIRED = "retired", _("Retired")


GONE = (Kept.LOST, Kept.RETIRED)


class PartKind(TeamRow):
    """A kind of part as the team buys it. SI, with the unit in the name."""

    role = models.TextField(choices=PartRole)
    name = models.TextField()
    diameter_m = models.FloatField(null=True, blank=True)
    construction = models.TextField(blank=True)  # 7x7, 7x19, 1x19
    breaking_load_n = models.FloatField(null=True, blank=True)
    breaking_load_source = models.TextField(blank=True)
    mass_kg = models.FloatField(null=True, blank=True)
    price = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    fewest = models.PositiveIntegerField(null=True, blank=True)  # in stock, before more are bought
    life_nights = models.FloatField(null=True, blank=True)  # in a set, before it is put away

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["team", "name"], name="gear_partkind_name_once"),
            one_of("role", PartRole, "gear_partkind"),
            models.CheckConstraint(
                condition=Q(price__isnull=True) | Q(price__gte=0), name="gear_partkind_price"
            ),
            models.CheckConstraint(
                condition=Q(life_nights=None) | Q(life_nights__gt=0), name="gear_partkind_life"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class DeviceKind(TeamRow):
    """A kind of device: its class, what it does to an animal, its measured size."""

    name = models.TextField()
    device_class = models.TextField(choices=DeviceClass)
    action = models.TextField(choices=Action)
    skill = TeamKey("people.Skill", null=True, blank=True)  # what placing it asks for
    jaw_spread_m = models.FloatField(null=True, blank=True)  # measured inside, widest
    mass_kg = models.FloatField(null=True, blank=True)
    volume_m3 = models.FloatField(null=True, blank=True)
    set_up_s = models.FloatField(null=True, blank=True)  # to place one
    check_s = models.FloatField(null=True, blank=True)  # to look at one that stands in order
    price = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)  # whole

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["team", "name"], name="gear_devicekind_name_once"),
            models.CheckConstraint(
                condition=Q(price__isnull=True) | Q(price__gte=0), name="gear_devicekind_price"
            ),
            models.CheckConstraint(
                condition=(Q(set_up_s__isnull=True) | Q(set_up_s__gte=0))
                & (Q(check_s__isnull=True) | Q(check_s__gte=0)),
                name="gear_devicekind_times",
            ),
            one_of("device_class", DeviceClass, "gear_devicekind"),
            one_of("action", Action, "gear_devicekind"),
        ]

    def __str__(self) -> str:
        return self.name


class KindPart(TeamRow):
    """Which parts a kind of device is built of, and what a catch does to each."""

    kind = TeamKey(DeviceKind)
    role = models.TextField(choices=PartRole)
    count = models.PositiveSmallIntegerField(default=1)
    needed = models.BooleanField(default=True)
    after_catch = models.TextField(choices=AfterCatch, default=AfterCatch.STAYS)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["team", "kind", "role"], name="gear_kindpart_once"),
            one_of("role", PartRole, "gear_kindpart"),
            one_of("after_catch", AfterCatch, "gear_kindpart"),
        ]


class Device(Fact):
    """A device with an address: an assembly. What it is made of now stands in standing."""

    kind = TeamKey(DeviceKind)
    mark = models.TextField()  # as stamped or painted on it

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["team", "mark"], name="gear_device_mark_once")
        ]
        indexes = [models.Index(fields=["team", "kind"], name="gear_device_by_kind")]

    def __str__(self) -> str:
        return self.mark


class Part(Fact):
    """One part. Its whole history is its facts."""

    kind = TeamKey(PartKind)
    mark = models.TextField(blank=True)

    class Meta:
        indexes = [models.Index(fields=["team", "kind"], name="gear_part_by_kind")]


class PartFact(Fact):
    """From this moment the part is in this state, in this device (when built in)."""

    part = TeamKey(Part, db_index=False)
    state = models.TextField(choices=PartState)
    device = TeamKey(Device, null=True)
    why = models.TextField(blank=True)
    place = models.TextField(blank=True, default="", db_default="")  # where it lies, when loose

    class Meta:
        constraints = [
            one_of("state", PartState, "gear_partfact"),
            models.CheckConstraint(
                condition=Q(state="built_in", device__isnull=False)
                | (~Q(state="built_in") & Q(device__isnull=True)),
                name="gear_partfact_device_when_built_in",
            ),
        ]
        indexes = [models.Index(fields=["part", "at"], name="gear_partfact_of_part")]


class DeviceFact(Fact):
    """From this moment a device is kept so. One of which nothing is said is in store."""

    device = TeamKey(Device, db_index=False)
    how = models.TextField(choices=Kept)
    member = TeamKey("people.Membership", null=True)  # whom it is lent to
    place = models.TextField(blank=True)
    note = models.TextField(blank=True)

    class Meta:
        constraints = [
            one_of("how", Kept, "gear_devicefact"),
            models.CheckConstraint(
                condition=Q(how="lent", member__isnull=False)
                | (~Q(how="lent") & Q(member__isnull=True)),
                name="gear_devicefact_lent_to_a_member",
            ),
        ]
        indexes = [models.Index(fields=["device", "at"], name="gear_devicefact_of_device")]


class Tagging(Fact):
    """From this moment a device or a part bears this tag; an empty one was taken off."""

    device = TeamKey(Device, null=True)
    part = TeamKey(Part, null=True)
    tag = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(device__isnull=False) ^ Q(part__isnull=False),
                name="gear_tagging_of_one_thing",
            )
        ]


class Pick(Fact):
    """A pick list: gear set aside for a load. It keeps what it names until each stands in a set,

    is lost or retired, or the list is dropped.
    """

    name = models.TextField()
    carrier = TeamKey("people.Membership", null=True)  # who goes with it
    note = models.TextField(blank=True)


class PickWanted(Fact):
    """How many of one kind the load asks for, of which the list may have found fewer."""

    pick = TeamKey(Pick, db_index=False)
    kind = TeamKey(DeviceKind)
    devices = models.PositiveSmallIntegerField()
    spare_kits = models.PositiveSmallIntegerField(default=0)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["pick", "kind"], name="gear_pickwanted_once")
        ]


class Picked(Fact):
    """A device or a loose part that a pick list sets aside."""

    pick = TeamKey(Pick, db_index=False)
    device = TeamKey(Device, null=True)
    part = TeamKey(Part, null=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(device__isnull=False) ^ Q(part__isnull=False),
                name="gear_picked_one_thing",
            ),
            models.UniqueConstraint(fields=["pick", "device"], name="gear_picked_device_once"),
            models.UniqueConstraint(fields=["pick", "part"], name="gear_picked_part_once"),
        ]


class PickDrop(Fact):
    """The pick list is no longer needed: what it still keeps is free again."""

    pick = TeamKey(Pick, db_index=False)
    note = models.TextField(blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["pick"], name="gear_pickdrop_once")]
