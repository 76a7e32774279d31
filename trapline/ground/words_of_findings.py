"""What each finding says, and what mends it. `%(name)s` takes a figure, shown in a person's units;

`%(what)s` what tells it from another of its code: a species, a kind of feature, a part.
"""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class Said:
    """A finding in words: its name, what is wrong, what to do."""

    title: str | Promise
    sentence: str | Promise
    remedy: str | Promise


MEASURE = _("An estimate from readings: measure here before you rely on it.")
NEVER_SAFE = _("A reading and its age. Nothing here says that ice is safe.")
NOT_LAW = _("From the device-fit table, which is nobody’s law.")

FINDING_WORDS: dict[str, Said] = {
    "season_closed": Said(
        _("Season closed"),
        _("The season for %(what)s has closed."),
        _("Pull the set, or change what it is made for and how."),
    ),
    "season_not_open": Said(
        _("Season not open"),
        _("There is no open season for %(what)s here now."),
        _("Pull it until the season opens, or make it for a target in season."),
    ),
    "not_pulled": Said(
        _("Not pulled after the close"),
        _("The season for %(what)s closed while this set stood, and it still stands."),
        _("Go and pull it now, and record it."),
    ),
    "closed_by_notice": Said(
        _("Closed by notice"),
        _("A notice has closed %(what)s here."),
        _("Pull it before the notice’s grace ends, and record it."),
    ),
    "limit_reached": Said(
        _("Limit reached"),
        _("%(what)s: %(count)s taken of a limit of %(limit)s."),
        _("Take no more: pull the sets made for this animal, and tell who looks after them."),
    ),
    "animals_untagged": Said(
        _("Animals without tag or seal"),
        _("%(count)s kept under this licence bear no tag or seal yet; there is time."),
        _("Fix the tag or have the pelt sealed, and show its number under Animals."),
    ),
    "tag_overdue": Said(
        _("Tag or seal overdue"),
        _("%(count)s kept under this licence should bear a tag or seal by now."),
        _("Call the office that seals, say what happened, and show the number under Animals."),
    ),
    "animal_report_overdue": Said(
        _("Report of an animal overdue"),
        _("%(count)s caught under this licence should have been reported by now."),
        _("Report it now, say why it is late, and show the report’s number under Animals."),
    ),
    "sample_overdue": Said(
        _("Sample overdue"),
        _("A sample of %(count)s should have been handed in by now."),
        _("Hand it in, or ask the office that wants it what to do."),
    ),
    "device_forbidden": Said(
        _("Device not allowed here"),
        _("A rule forbids this class of device in a place like this."),
        _("Pull it. Another device, or another placement, may be allowed."),
    ),
    "jaw_spread": Said(
        _("Jaw spread outside the rule"),
        _("The jaws open %(jaw_spread_m)s, %(bound)s."),
        _("Change the device for one of the size that the rule asks for."),
    ),
    "jaw_spread_unknown": Said(
        _("Jaw spread not measured"),
        _("A rule asks for a jaw spread, and none is noted for this kind of device."),
        _("Measure inside the jaws at their widest, and note it with the kind of device."),
    ),
    "device_too_small": Said(
        _("Too small for its target"),
        _("The jaws open %(jaw_spread_m)s; for %(what)s the table has %(at_least_m)s."),
        _("Use a size that holds the animal, or it is hurt and lost."),
    ),
    "device_too_large": Said(
        _("Larger than its target needs"),
        _("The jaws open %(jaw_spread_m)s; for %(what)s the table has up to %(at_most_m)s."),
        _("Use a smaller size where you have one: it strikes better and takes less else."),
    ),
    "device_endangers": Said(
        _("Endangers other animals"),
        _("The jaws open %(jaw_spread_m)s where %(what)s may come to it."),
        _("Put it under water or out of reach, or use a smaller one."),
    ),
    "loop_diameter": Said(
        _("Loop size outside the rule"),
        _("The loop is %(loop_diameter_m)s wide, %(bound)s."),
        _("Remake the loop to the size that the rule asks for."),
    ),
    "loop_height": Said(
        _("Loop height outside the rule"),
        _("The loop hangs at about %(height_m)s today, %(bound)s."),
        _("Go there, measure over today’s snow or water, raise or lower the loop."),
    ),
    "loop_unfit": Said(
        _("Loop size does not suit the target"),
        _("For %(what)s: the loop is %(loop_diameter_m)s wide, %(bound)s."),
        _("Remake the loop to the target’s size."),
    ),
    "height_unfit": Said(
        _("Loop height does not suit the target"),
        _("For %(what)s: the loop hangs at about %(height_m)s today, %(bound)s."),
        _("Go there, measure over today’s snow, raise or lower the loop."),
    ),
    "loop_not_measured": Said(
        _("Loop not measured"),
        _("A rule asks for the loop’s size or height, and none is noted."),
        _("Measure it at the next visit and note it."),
    ),
    "no_swivel": Said(
        _("No swivel"),
        _("A rule asks for a swivel, and none is in the device."),
        _("Build one in before it stands another night."),
    ),
    "no_breakaway": Said(
        _("No breakaway"),
        _("A rule asks for a breakaway, and none is in the device."),
        _("Build one in before it stands another night."),
    ),
    "part_missing": Said(
        _("Part missing"),
        _("The device has no %(what)s."),
        _("Build the part in, or change the device."),
    ),
    "parts_not_recorded": Said(
        _("Parts not recorded"),
        _("Rules ask for parts, and nobody noted what this device is built of."),
        _("Look at the device and note its parts."),
    ),
    "part_past_life": Said(
        _("Part past its service life"),
        _("The %(what)s has served %(nights)s nights; its kind is put away after %(life_nights)s."),
        _("Inspect it, and change it before it fails on an animal."),
    ),
    "cable_spent": Said(
        _("Spent cable still in use"),
        _("A catch has spent the cable, and no new one is in the device."),
        _("Put another snare in its place; a kinked cable breaks."),
    ),
    "part_weak": Said(
        _("Part too weak"),
        _("The %(what)s breaks at %(load_n)s; the rule asks for %(at_least_n)s."),
        _("Change the part for one that is strong enough."),
    ),
    "breakaway_too_strong": Said(
        _("Lets go too late"),
        _("The %(what)s lets go at %(load_n)s; the rule allows %(at_most_n)s."),
        _("Change the part for one that lets go sooner."),
    ),
    "load_not_known": Said(
        _("Breaking load not known"),
        _("A rule asks for the breaking load of the %(what)s, and its kind states none."),
        _("Find the maker’s figure and its source, and note it with the kind of part."),
    ),
    "cable_thin": Said(
        _("Cable thin for its target"),
        _("The cable is %(cable_m)s thick; for %(what)s the table has %(at_least_m)s."),
        _("Use a cable that holds the animal."),
    ),
    "too_near": Said(
        _("Too near: %(what)s"),
        _("%(distance_m)s away; the rule asks for %(at_least_m)s."),
        _("Move the set away, or pull it."),
    ),
    "no_permission": Said(
        _("Outside every permission"),
        _("No permission that the team holds covers this place."),
        _("Pull it, or ask the holder of the land first."),
    ),
    "permission_lapsed": Said(
        _("Permission does not hold today"),
        _("The leave to be on this land does not hold today."),
        _("Pull it, or have the leave renewed and note it."),
    ),
    "permission_not_theirs": Said(
        _("Permission is not theirs"),
        _("The leave holds, but not for who looks after the set."),
        _("Hand the set to somebody whom the leave names."),
    ),
    "licence_not_valid": Said(
        _("Licence does not hold today"),
        _("The licence that this set bears does not hold today."),
        _("Pull it, or renew the licence and note it."),
    ),
    "no_tag": Said(
        _("No identification tag"),
        _("A rule asks for a tag on the device, and none is noted."),
        _("Fix the tag and note it."),
    ),
    "bait_in_view": Said(
        _("Bait in view"),
        _("The bait can be seen from above, which a rule forbids."),
        _("Cover the bait. Birds come to what they see."),
    ),
    "no_sign_off": Said(
        _("No sign-off"),
        _("%(whose)s is not signed off for this class of device."),
        _("Hand it to somebody who is, or have an instructor sign them off."),
    ),
    "unsupervised": Said(
        _("Without supervision"),
        _("Last looked at by a learner who was not supervised as a rule asks."),
        _("Go there with an instructor, or hand the set over."),
    ),
    "agent_not_allowed": Said(
        _("Not theirs to tend"),
        _("It bears another’s licence, and a rule lets nobody else tend it."),
        _("Hand it to the licence’s holder, or pull it."),
    ),
    "agent_without_paper": Said(
        _("No paper to tend it"),
        _("It bears another’s licence, and who looks after it has no paper that holds today."),
        _("Hand it to the holder or to somebody with the paper, or have it written and note it."),
    ),
    "nobody_to_tend": Said(
        _("Nobody to tend it"),
        _("Who looks after it is away."),
        _("Hand it over, or pull it."),
    ),
    "overdue": Said(
        _("Overdue"),
        _("Its check is overdue."),
        _("Go there now, or send somebody who may."),
    ),
    "buried": Said(
        _("Buried or frozen in"),
        _("It was found buried or frozen in, so it is out of service."),
        _("Dig it out and remake it, or pull it."),
    ),
    "non_target_again": Said(
        _("Non-target catches again"),
        _("%(count)s catches here in %(days)s days were of no target."),
        _("Move it, or change bait, size or trigger."),
    ),
    "snowed_in": Said(
        _("Probably snowed in"),
        _("About %(snow_change_m)s of snow has come since it was last seen."),
        _("Measure there; dig it out and remake it, or pull it."),
    ),
    "loop_snowed_in": Said(
        _("Snow has reached the loop"),
        _("About %(snow_change_m)s of snow has come under a loop that hung at %(loop_height_m)s."),
        _("Measure there and raise the loop."),
    ),
    "not_submerged": Said(
        _("No longer under water"),
        _("The water over it is about %(depth_m)s: it stands on land, and another rule binds."),
        _("Go there, reset it deeper or pull it; note how it stands now."),
    ),
    "too_shallow": Said(
        _("Too shallow to hold under"),
        _("The water is about %(depth_m)s deep; for %(what)s the table has %(at_least_m)s."),
        _("Reset it deeper, or lead the drowning wire to deeper water."),
    ),
    "drowner_not_confirmed": Said(
        _("Slide lock and weight not confirmed"),
        _("It is meant to hold under, and no slide lock or end weight is noted."),
        _("Look at both at the next visit and note them as its anchoring."),
    ),
    "depth_not_measured": Said(
        _("Depth not measured"),
        _("It stands under water, and nobody noted how deep."),
        _("Measure the depth at the device and note it."),
    ),
    "ice_gone": Said(
        _("Ice gone"),
        _("It was set under ice, and the last reading found none."),
        _("Stay off. Look from the bank, note its placement as it is now, or pull it."),
    ),
    "ice_come": Said(
        _("Ice come"),
        _("It was set in open water, and the last reading found ice: %(ice_m)s."),
        _("Note its placement as it is now. Test the ice before each step, or stay off."),
    ),
}  # fmt: skip

# Said beside it, so that nobody takes an estimate for a measure, or a table for the law.
BESIDE: dict[str, str | Promise] = {
    **dict.fromkeys(
        ("loop_height", "height_unfit", "snowed_in", "loop_snowed_in", "not_submerged"), MEASURE
    ),
    **dict.fromkeys(("ice_gone", "ice_come"), NEVER_SAFE),
    **dict.fromkeys(
        ("device_too_small", "device_too_large", "device_endangers", "cable_thin", "loop_unfit"),
        NOT_LAW,
    ),
    "too_shallow": MEASURE,
}

BOUND_WORDS = {
    "at_least_m": _("less than the %(bound)s that is asked for"),
    "at_most_m": _("more than the %(bound)s that is allowed"),
}
# Whose sign-off is missing.
WHOSE = {"responsible": _("Who looks after it"), "placer": _("Who placed it")}

# What each figure is called where a page tells how it came about.
FIGURE_WORDS = {
    "jaw_spread_m": _("jaw spread"),
    "loop_diameter_m": _("loop as set"),
    "loop_height_m": _("loop’s bottom as last hung"),
    "height_m": _("height today (as last hung, less what it is measured from has risen since)"),
    "snow_change_m": _("snow’s rise since, by the newest reading"),
    "distance_m": _("distance over the ground"),
    "at_least_m": _("asked for at least"),
    "at_most_m": _("allowed at most"),
    "from_m": _("counts from"),
    "cable_m": _("cable"),
    "depth_m": _("depth today (as measured, with the level’s change since)"),
    "measured_m": _("depth as measured"),
    "level_change_m": _("water level’s change since, by the newest reading"),
    "ice_m": _("ice as read"),
    "load_n": _("breaking load"),
    "at_least_n": _("asked for at least"),
    "at_most_n": _("allowed at most"),
    "closed_us": _("closed"),
    "opens_us": _("opens next"),
    "due_us": _("was due"),
    "pull_by_us": _("to be pulled by"),
    "checked_us": _("last looked at"),
    "read_us": _("read"),
    "ended_day": _("held until"),
    "count": _("counted"),
    "limit": _("limit"),
    "days": _("within days"),
    "nights": _("nights in a set so far"),
    "life_nights": _("service life in nights, as the team put it"),
}
