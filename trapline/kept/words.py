"""The trade's words for what becomes of an animal after the catch, as the codes that are stored."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from trapline.rulebook.models import SampleOf as SampleOf  # noqa: PLC0414 - rules ask for it


class PeltState(models.TextChoices):
    """How far a pelt is, or where it went. The order of the first seven is that of the work."""

    WHOLE = "whole", _("Whole animal")
    SKINNED = "skinned", _("Skinned")
    FLESHED = "fleshed", _("Fleshed")
    STRETCHED = "stretched", _("Stretched")
    DRIED = "dried", _("Dried")
    GRADED = "graded", _("Graded")
    TANNED = "tanned", _("Tanned")
    KEPT = "kept", _("Kept for the household")
    SOLD = "sold", _("Sold")
    GIVEN = "given", _("Given away")
    HANDED_IN = "handed_in", _("Handed in")
    LOST = "lost", _("Lost")
    DISCARDED = "discarded", _("Discarded")


IN_THE_ROOM = (
    PeltState.WHOLE, PeltState.SKINNED, PeltState.FLESHED, PeltState.STRETCHED, PeltState.DRIED,
    PeltState.GRADED, PeltState.TANNED,
)  # fmt: skip
# What went there comes back only by taking the entry back.
GONE = (
    PeltState.SOLD, PeltState.GIVEN, PeltState.HANDED_IN, PeltState.LOST, PeltState.DISCARDED,
)  # fmt: skip
TO_SOMEBODY = (PeltState.SOLD, PeltState.GIVEN, PeltState.HANDED_IN)


class Organs(models.TextChoices):
    """What was seen of liver, lungs, heart and glands when the animal was opened."""

    SOUND = "sound", _("Looked at, sound")
    SUSPECT = "suspect", _("Looked at, something is wrong")
    NOT_LOOKED = "not_looked_at", _("Not looked at")


class MeatUse(models.TextChoices):
    EATEN = "eaten", _("Eaten")
    GIVEN = "given", _("Given away")
    FED = "fed", _("Fed to dogs or used as bait")
    SPOILED = "spoiled", _("Spoiled or thrown away")


class Place(models.TextChoices):
    """Where an animal is: one place for each, in the order of the account."""

    RELEASED = "released", _("Released")
    GOT_AWAY = "got_away", _("Got away")
    OFFICER = "handed_to", _("Handed to an officer")
    ROOM = "room", _("In the fur room")
    KEPT = "kept", _("Kept for the household")
    SOLD = "sold", _("Sold")
    GIVEN = "given", _("Given away")
    HANDED_IN = "handed_in", _("Handed in")
    EATEN = "eaten", _("Eaten, no pelt kept")
    LOST = "lost", _("Lost")
    DISCARDED = "discarded", _("Discarded")
    UNSAID = "unsaid", _("Nobody has said")


class Undo(models.TextChoices):
    """Which entry is taken back."""

    PELT = "pelt", _("A step of a pelt")
    JUDGED = "meat_judged", _("A judgement of meat")
    PORTION = "portion", _("A portion of meat")
    SAMPLE = "sample", _("A sample taken")
