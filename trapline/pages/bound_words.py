"""How a rule stood to a set, in words: for the page of one set and for the question of a date."""

from datetime import datetime

from django.utils.translation import gettext as _

from trapline.binding.then import Weighed


def standing_words(standing: str, granted: bool = False) -> str:
    """What became of a rule that was weighed on a set."""
    if granted and standing == "binds":
        return _("binds, by an officer’s extension")
    return {
        "binds": _("binds"),
        "moves": _("is due before these hours"),
        "hours": _("does not touch the due moment"),
        "later": _("is met later"),
        "outdone": _("another is stricter"),
        "replaced": _("another stands instead"),
        "exempt": _("asks for no visit"),
        "open": _("was open"),
        "shut": _("was shut"),
        "apart": _("does not apply"),
    }[standing]


def why_words(one: Weighed, moment: datetime) -> str:
    """Why a rule does not bind, as far as the standing does not say it."""
    if one.by:
        return _("See %(codes)s.") % {"codes": ", ".join(one.by)}
    reasons = {
        "device_class": _("the device is of another class"),
        "action": _("the device does something else to an animal"),
        "placement": _("the set stood otherwise"),
        "zone": _("the set stood outside its zones"),
        "species": _("the set was made for other animals"),
        "licence_kind": _("its licence is of another kind"),
        "days": _("not on this day of the year"),
        "dates": _("not in force on this date"),
    }
    told = ", ".join(reasons[reason] for reason in one.reasons)
    return told[:1].upper() + told[1:] + "." if told else ""
