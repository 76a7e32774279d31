"""The trade's words for a set, a check and a catch, as the codes that are stored."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from trapline.land.models import Placement as Placement  # noqa: PLC0414 - rules speak of it too


class Travel(models.TextChoices):
    FOOT = "foot", _("On foot")
    SNOWSHOE = "snowshoe", _("Snowshoe")
    SKI = "ski", _("Ski")
    SNOW_MACHINE = "snow_machine", _("Snow machine")
    BOAT = "boat", _("Boat")
    VEHICLE = "vehicle", _("Vehicle")


class LineStatus(models.TextChoices):
    OPEN = "open", _("Open")
    HOLD = "hold", _("On hold: no new sets")
    CLOSED = "closed", _("Closed")


class Cause(models.TextChoices):
    """Why a set is arranged otherwise from a moment on."""

    PLACED = "placed", _("Placed")
    MOVED = "moved", _("Moved")
    RAISED = "raised", _("Raised")
    REMADE = "remade", _("Remade")
    HANDED_OVER = "handed_over", _("Handed over")


class Heard(models.TextChoices):
    """What a monitor on a set sends."""

    STATUS = "status", _("It stands, all quiet")
    CLOSED = "closed", _("It has closed")
    LOST = "contact_lost", _("Contact is lost")


class HowSeen(models.TextChoices):
    AT_SET = "at_set", _("At the set")
    DISTANCE = "from_distance", _("From a distance")
    CAMERA = "camera", _("By camera")


class Supervision(models.TextChoices):
    NONE = "", _("Alone")
    IN_SIGHT = "in_sight", _("In sight and voice")
    ON_CALL = "on_call", _("On call")


class Found(models.TextChoices):
    IN_ORDER = "in_order", _("In order")
    SPRUNG = "sprung_empty", _("Sprung, empty")
    ANIMAL = "animal", _("Animal")
    DAMAGED = "damaged", _("Damaged")
    BURIED = "buried", _("Buried or frozen in")
    NOT_REACHED = "not_reached", _("Not reached")
    GONE = "gone", _("Gone")


class Sign(models.TextChoices):
    TARGET = "target", _("Target animal")
    OTHER = "other", _("Other animal")
    WEATHER = "weather", _("Weather")
    MISFIRE = "misfire", _("Misfire")
    UNKNOWN = "unknown", _("Unknown")


class Gone(models.TextChoices):
    DRAGGED = "dragged_off", _("Dragged off")
    TAKEN = "taken", _("Taken by someone")
    CARRIED = "carried_off", _("Carried by water or ice")
    NOT_FOUND = "not_found", _("Not found")


class Done(models.TextChoices):
    LEFT = "left", _("Left as it was")
    REMADE = "remade", _("Remade")
    RAISED = "raised", _("Raised")
    MOVED = "moved", _("Moved")
    PULLED = "pulled", _("Pulled")
    PART = "part_replaced", _("Part replaced")


class Sex(models.TextChoices):
    MALE = "male", _("Male")
    FEMALE = "female", _("Female")
    UNKNOWN = "unknown", _("Unknown")


class Age(models.TextChoices):
    ADULT = "adult", _("Adult")
    JUVENILE = "juvenile", _("Juvenile")
    UNKNOWN = "unknown", _("Unknown")


class Fate(models.TextChoices):
    """What became of an animal in a device."""

    DISPATCHED = "dispatched", _("Dispatched")
    DEAD = "found_dead", _("Found dead")
    RELEASED = "released", _("Released")
    HANDED = "handed_to", _("Handed to an officer")
    GOT_AWAY = "got_away", _("Got away")


class Ended(models.TextChoices):
    PULLED = "pulled", _("Pulled")
    LOST = "lost", _("Lost")


class NumberKind(models.TextChoices):
    DEVICE_TAG = "device_tag", _("Device tag")
    SITE_TAG = "site_tag", _("Site tag or coupon")
    SEAL = "seal", _("Seal")


class NumberUse(models.TextChoices):
    USED = "used", _("Used")
    VOID = "void", _("Void")
    LOST = "lost", _("Lost")
    RETURNED = "returned", _("Returned")


class Measured(models.TextChoices):
    SNOW_DEPTH_M = "snow_depth_m", _("Snow depth")
    WATER_LEVEL_M = "water_level_m", _("Water level")
    AIR_C = "air_c", _("Air temperature")
    ICE_M = "ice_m", _("Ice thickness")
