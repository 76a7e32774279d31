"""What mends a finding, and the least that mends all that is found at one set."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _

from trapline.findings.find import One
from trapline.findings.models import Severity


class How(TextChoices):
    """What a set has become."""

    UNLAWFUL = "unlawful", _("Unlawful")
    BURIED = "buried", _("Buried")
    DRY = "dry", _("Dry or too shallow")
    UNCOVERED = "uncovered", _("Uncovered")
    UNFIT = "unfit", _("Not as it should be")


class Deed(TextChoices):
    """What is to be done. The first three are done without a walk to the set."""

    HAND_OVER = "hand_over", _("Hand over")
    RENEW = "renew", _("Have the leave renewed")
    RENEW_LICENCE = "renew_licence", _("Renew the licence")
    PULL = "pull", _("Pull")
    RETARGET = "retarget", _("Leave it to its other targets")
    REHANG = "rehang", _("Rehang the loop")
    DIG_OUT = "dig_out", _("Dig out and remake")
    DEEPEN = "deepen", _("Set deeper")
    MOVE = "move", _("Move")
    CHANGE = "change", _("Change the device or a part")
    PUT_RIGHT = "put_right", _("Put right at the set")
    CHECK = "check", _("Check")
    NOTE = "note", _("Look and note")


NO_WALK = frozenset((Deed.HAND_OVER, Deed.RENEW, Deed.RENEW_LICENCE))
_BURIED = ("snowed_in", "loop_snowed_in", "buried")
_DRY = ("not_submerged", "too_shallow", "ice_gone")

MENDS: dict[str, Deed] = {
    **dict.fromkeys(
        ("season_closed", "season_not_open", "not_pulled", "closed_by_notice", "limit_reached",
         "device_forbidden", "no_permission"), Deed.PULL),
    "permission_lapsed": Deed.RENEW,
    "licence_not_valid": Deed.RENEW_LICENCE,
    **dict.fromkeys(
        ("nobody_to_tend", "permission_not_theirs", "no_sign_off", "unsupervised",
         "agent_not_allowed", "agent_without_paper"),
        Deed.HAND_OVER),
    **dict.fromkeys(("loop_snowed_in", "loop_height", "height_unfit"), Deed.REHANG),
    **dict.fromkeys(("snowed_in", "buried"), Deed.DIG_OUT),
    **dict.fromkeys(("not_submerged", "too_shallow"), Deed.DEEPEN),
    **dict.fromkeys(("too_near", "non_target_again", "ice_gone", "ice_come"), Deed.MOVE),
    **dict.fromkeys(
        ("jaw_spread", "device_too_small", "device_too_large", "device_endangers", "no_swivel",
         "no_breakaway", "part_missing", "part_weak", "part_past_life", "breakaway_too_strong",
         "cable_spent", "cable_thin"), Deed.CHANGE),
    **dict.fromkeys(
        ("no_tag", "bait_in_view", "loop_diameter", "loop_unfit"), Deed.PUT_RIGHT),
    "overdue": Deed.CHECK,
    **dict.fromkeys(
        ("jaw_spread_unknown", "loop_not_measured", "parts_not_recorded", "load_not_known",
         "depth_not_measured", "drowner_not_confirmed"), Deed.NOTE),
}  # fmt: skip


@dataclass(frozen=True)
class Turn:
    """One thing that comes to be wrong at a set, and what would mend it alone."""

    one: One
    how: How
    deed: Deed


def turn(one: One, *, target_open: bool) -> Turn:
    """target_open: whether a target of the set may still be taken in that world."""
    deed = MENDS[one.code]
    if target_open and one.code in ("season_closed", "season_not_open", "limit_reached"):
        deed = Deed.RETARGET
    return Turn(one, _how(one), deed)


def _how(one: One) -> How:
    if one.code in _BURIED:
        return How.BURIED
    if one.code in _DRY:
        return How.DRY
    if one.code == "nobody_to_tend":
        return How.UNCOVERED
    ruled = one.severity == Severity.STOP or one.rule is not None
    return How.UNLAWFUL if ruled and one.severity != Severity.WATCH else How.UNFIT


def least(turns: Collection[Turn]) -> tuple[Deed, ...]:
    """The fewest deeds that mend all of them. Pulling mends whatever is wrong with a set, so where

    it is needed nothing else is.
    """
    deeds = {one.deed for one in turns}
    if Deed.PULL in deeds:
        return (Deed.PULL,)
    return tuple(deed for deed in Deed if deed in deeds)


def by_how_much(turns: Collection[Turn]) -> float | None:
    """How far a loop is to be rehung (up; down below 0) or a device set deeper, in metres.

    What suffices for every bound; without a bound, what the snow or the water has taken.
    """
    numbers = [one.one.numbers for one in turns if one.deed in (Deed.REHANG, Deed.DEEPEN)]
    now = [told.get("height_m", told.get("depth_m")) for told in numbers]
    known = list(zip(numbers, now, strict=True))
    low = [told["at_least_m"] - at for told, at in known if "at_least_m" in told and at is not None]
    high = [told["at_most_m"] - at for told, at in known if "at_most_m" in told and at is not None]
    rise = ("snow_change_m", "level_change_m")
    taken = [
        next((told[name] for name in rise if name in told), 0.0) if "height_m" in told
        else told["measured_m"] - at
        for told, at in known
        if at is not None and ("height_m" in told or "measured_m" in told)
    ]  # fmt: skip
    return max(low, default=min(high, default=max(taken, default=None)))
