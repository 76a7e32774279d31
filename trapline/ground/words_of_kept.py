"""Sentences for what can be wrong with an act about a kept animal: its pelt, meat, samples."""

from django.utils.translation import gettext_lazy as _

KEPT_WORDS = {
    "animal_not_taken": _(
        "%(number)s was let go or handed to an officer, so nothing of it is kept. Correct its "
        "check if that is wrong."
    ),
    "before_the_catch": _("This is before %(number)s was found. Check date and time."),
    "pelt_to_nobody": _("Say to whom: the buyer, the receiver or the office."),
    "price_not_sold": _("A price goes with a sale. Choose “sold”, or leave the price out."),
    "price_and_currency": _("Give the price and its currency together, or neither."),
    "pelt_gone": _(
        "%(number)s has left the fur room. If that was a mistake, take that entry back first."
    ),
    "pelt_backwards": _(
        "%(number)s is that far already or farther. If that was a mistake, take the entry back."
    ),
    "pelt_told_later": _(
        "A later step of %(number)s is on record. Check date and time, or take that step back."
    ),
    "meat_organs": _(
        "Only an animal whose organs were looked at and sound is fit for food. Unknown is fur, not "
        "food."
    ),
    "meat_why": _("Say why it is not fit."),
    "meat_more_than_animal": _("The animal weighed %(kg)s kg; its meat cannot weigh more."),
    "meat_one_eater": _("Name a member or somebody else, not both."),
    "meat_by_nobody": _("Say who ate it or got it: a member, or a household by name."),
    "meat_not_fit": _(
        "Nobody has said that %(number)s is fit for food. Look at its organs and say so first; "
        "when in doubt it is not."
    ),
    "meat_more_than_edible": _(
        "Of this animal’s weighed meat %(kg)s kg are left. Check the weight."
    ),
    "sample_twice": _("This sample of %(number)s was taken already. Look at its history."),
    "sample_label_twice": _("The label %(label)s is on another sample. Check it."),
    "sample_handed_before": _("The sample %(label)s is handed in already."),
    "before_the_sample": _("This is before the sample %(label)s was taken. Check date and time."),
    "taken_back_before": _("This entry was taken back already."),
    "constraint_kept_samplehandedin_once": _("One of these samples is handed in already."),
}
