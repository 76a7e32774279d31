"""Words of reports: what a column holds, and what has to balance before one is filed."""

from django.utils.translation import gettext_lazy as _

COLUMN_WORDS = {
    "number": _("Number"), "animal": _("Animal, by its key"), "species": _("Species, code"),
    "species_name": _("Species"), "species_latin": _("Species, scientific"), "date": _("Date"),
    "at": _("Date and time"), "time_zone": _("Time zone"), "zone": _("Zone"),
    "device_class": _("Class of device"), "device_kind": _("Kind of device"),
    "placement": _("Placement"), "sex": _("Sex"), "age": _("Age class"),
    "alive_on_arrival": _("Alive on arrival"), "fate": _("What became of it"),
    "target": _("Target"), "site_tag": _("Site tag"), "device_tag": _("Device tag"),
    "seal": _("Seal"), "checked_by": _("Checked by"), "licence": _("Licence"),
    "hours_possibly_held": _("Hours possibly held"), "line": _("Line"), "set": _("Set"),
    "month": _("Month"), "animals": _("Animals"), "taken": _("Taken"),
    "released": _("Released"), "handed_to": _("Handed to an officer"),
    "got_away": _("Got away"), "male": _("Males taken"), "female": _("Females taken"),
    "sex_unknown": _("Taken, sex unknown"), "adult": _("Adults taken"),
    "juvenile": _("Juveniles taken"), "age_unknown": _("Taken, age unknown"),
    "sets": _("Sets"), "checks": _("Checks"), "nights": _("Trap-nights"),
    "nights_unknown": _("Nights of unknown service"), "targets": _("Target animals"),
    "others": _("Other animals"), "use": _("What became of the number"),
    "kind": _("Kind of number"),
}  # fmt: skip

BALANCE_WORDS = {
    "still_running": _("The period is over"),
    "wrong_period": _("The days are those that the form is about"),
    "outside_licence": _("Every animal stands on a day of the licence"),
    "number_twice": _("No number stands on two animals"),
    "not_coded": _("The form has a code for every value"),
    "not_logged": _("Every animal that waited has its catch logged"),
    "number_adrift": _("Every used number is borne by an animal of the record"),
    "duty_open": _("Every duty is closed"),
    "not_sealed": _("Every animal that must be sealed is"),
    "number_left": _("Every number is used, void, lost or returned"),
    "set_standing": _("Every set is pulled or lost with proof"),
    "set_lost": _("No set was lost"),
    "sex_unknown": _("The sex of every animal taken is known"),
    "age_unknown": _("The age class of every animal taken is known"),
    "zone_unknown": _("The zone of every animal is known"),
}
