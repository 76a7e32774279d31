"""Sentences for what can be wrong with an act."""

from django.utils.translation import gettext_lazy as _

# What pydantic says of a value's shape, by its own type names.
SHAPE_WORDS = {
    "missing": _("This is needed."),
    "extra_forbidden": _("There is no such field here. Check its spelling or leave it out."),
    "string_too_short": _("This may not be empty."),
    "string_too_long": _("This is too long. %(said)s."),
    "too_short": _("Too few. %(said)s."),
    "too_long": _("Too many. %(said)s."),
    "uuid_parsing": _("This is not an id."),
    "uuid_type": _("This is not an id."),
    "enum": _("This is none of the words that fit here. %(said)s."),
    "literal_error": _("This is none of the words that fit here. %(said)s."),
    "float_parsing": _("A number is needed."),
    "float_type": _("A number is needed."),
    "int_parsing": _("A whole number is needed."),
    "int_type": _("A whole number is needed."),
    "bool_parsing": _("Yes or no is needed."),
    "bool_type": _("Yes or no is needed."),
    "greater_than_equal": _("This is too small. %(said)s."),
    "greater_than": _("This is too small. %(said)s."),
    "less_than_equal": _("This is too large. %(said)s."),
    "less_than": _("This is too large. %(said)s."),
    "timezone_aware": _("A time needs its offset from UTC."),
    "json_invalid": _("This is not JSON. %(said)s."),
    "no_such_day": _("There is no such day."),
    "datetime_type": _("A date and time with its offset from UTC is needed."),
    "datetime_range": _("A moment from the years 1900 to 2199 is needed."),
    "value_error": _("%(said)s."),
    "other": _("This cannot be read as what should stand here. %(said)s."),
}

PROBLEM_WORDS = {
    # Photographs
    "photo_attached_before": _("This photograph was attached before. Nothing more is needed."),
    "not_a_photo": _("This is no picture that can be read. Send a JPEG, PNG or WebP."),
    "photo_damaged": _("The photograph did not arrive as it was sent. Send it again."),
    "photo_conflict": _("Another photograph stands under this id. Nothing was changed."),
    # Any act
    "too_large": _("This is too large: at most %(most)s bytes are taken."),
    "unknown_kind": _("This server does not know acts of this kind. Update it, or the app."),
    "unknown_version": _("This server does not know this version. Update it; nothing is lost."),
    "id_with_other_content": _("This id was already used for something else. Make a new one."),
    "sent_before": _(
        "This form was already sent with other words in it, and those were kept. Open a fresh "
        "form; to mend what was kept, correct it."
    ),
    "waits_for": _(
        "What this names is not here, or not yours. Choose another, or wait until it has arrived."
    ),
    "time_ahead": _("This lies ahead of the server’s clock. Check date, time and zone."),
    "only_leaders": _("Only an instructor or a manager may do this. Ask one of them."),
    "only_managers": _("Only a manager may do this. Ask one of them."),
    "constraint": _("This contradicts what is on record. Look at the set as it stands now."),
    # Lines and sets
    "name_taken": _("There already is one called %(name)s. Choose another name."),
    "label_taken": _("This line already has a set %(label)s. Choose another label."),
    "line_not_open": _("%(name)s is on hold or closed. A manager can open it again."),
    "set_exists": _("This set is already placed. To move it, log a check and say moved."),
    "device_in_use": _("This device stands in set %(label)s. Pull that set, or take another."),
    "set_not_yours_now": _(
        "%(label)s was handed over to somebody else. What you wrote is kept for a leader to see."
    ),
    "before_placed": _("This is before %(label)s was placed. Check date and time."),
    "set_ended": _("%(label)s was pulled or closed by then. Check date and time."),
    "lost_needs_a_search": _(
        "%(label)s can be closed as lost only after a recorded search. Log a check first that "
        "says it is gone."
    ),
    # What an officer says
    "grant_until_when": _("An extension ends after it was given, within a year of it."),
    "notice_when": _("A notice closes within a year of the day it is written down."),
    "no_such_zone": _("The rulebook knows no zone %(zone)s. Check the code."),
    "reopened_when": _("It opens again after it was closed, within a year of it."),
    "reopened_before": _("This closure was already ended by a notice."),
    # Reports
    "period_backwards": _("The last day lies before the first. Exchange them."),
    "periods_open": _("Both periods need a first and a last day."),
    "periods_overlap": _("The two periods share days. Choose two that share none."),
    # Checks, catches, numbers
    "number_not_in_book": _("%(number)s is in no book issued to this licence. Check the number."),
    "number_spent": _("%(number)s was already used, or is void, lost or returned."),
    "numbers_issued_before": _("Some of these numbers were already issued. Check first and last."),
    "numbers_out_of_order": _("The last number lies before the first. Exchange them."),
    "corrected_before": _("This check was already corrected. Correct the newest one."),
    "not_your_check": _("Somebody else made this check. They or a leader can correct it."),
    "other_set": _("A correction stays with its set. Withdraw this check and log it at the other."),
    "waiting_ended_before": _("This animal is no longer waiting; see the set’s timeline."),
    # Duties
    "evidence_other_kind": _("This duty is not closed by a number or a note, but by doing it."),
    "evidence_empty": _("Give the number on the paper or the seal, a photograph of it, or a note."),
    "duty_not_open": _("This is done already, or no longer asked for. See its set’s timeline."),
    # Reports
    "report_unknown_column": _(
        "This form has no column “%(column)s” for its kind of row. Choose one that stands there."
    ),
    "report_form_yaml": _("This is not YAML that can be read as a report form. Mend it there."),
    "report_unknown_form": _("There is no report form %(form)s. Choose one from the list."),
    "report_not_yours": _("A report is filed by the licence’s holder or a manager. Ask one."),
    "report_filed_before": _(
        "This report was filed on %(on)s. File an amended report that takes its place."
    ),
    "report_changed": _(
        "The record changed since you looked. Look the report through again, then file it."
    ),
    "report_explain": _(
        "Something is still open that the report should explain. Say why in the note."
    ),
    "report_stop_still_running": _(
        "This period is still running until %(names)s. File the report when it is over."
    ),
    "report_stop_wrong_period": _(
        "This form is about one whole month, or about a season of at most a year, and %(names)s is "
        "neither. Choose its days."
    ),
    "report_stop_outside_licence": _(
        "Animals stand on days when the licence was not valid: %(names)s. Correct the licence’s "
        "days or the checks first."
    ),
    "report_stop_number_twice": _(
        "A number stands on two animals: %(names)s. Correct one of the checks first."
    ),
    "report_stop_number_adrift": _(
        "Numbers were used on animals that are no longer in the record: %(names)s. Set each "
        "aside in the tag book first."
    ),
    "report_stop_not_coded": _(
        "The form has no code for: %(names)s. Add it on the form’s page first."
    ),
    "report_stop_not_logged": _(
        "Animals that waited have no catch logged yet: %(names)s. Log them first."
    ),
    "report_stop_set_standing": _(
        "Sets under this licence still stand: %(names)s. Pull them, or close them as lost, first."
    ),
    # Devices and parts
    "mark_taken": _("There already is a device marked %(mark)s. Choose another mark."),
    "part_in_another_device": _("One of these parts is built into another device. Take another."),
    "part_not_fit": _("One of these parts is spent, broken, lost or retired. Take another."),
    "part_twice": _("A part stands here twice, or is in the record already. Name each once."),
    "part_not_in_device": _("This part is not in this device. See what it is made of now."),
    "nothing_in_device": _("There is no part in this device. See its history."),
    "role_not_in_kind": _("%(role)s: this kind of device has no such part. See its kind."),
    "role_too_many": _("%(role)s: this kind of device has room for %(count)s. Strip it first."),
    "role_differs": _("What goes in must be what comes out: %(role)s."),
    "retired_says_why": _("Say whether it is worn out, or put away for another reason."),
    "device_gone": _("This device is written down as lost or retired. Take it back into store."),
    "device_not_in_store": _("%(mark)s is not in store. Take it back first, or take another."),
    "device_reserved": _(
        "%(mark)s is set aside for “%(name)s”. Drop that pick list first, or take another device."
    ),
    "part_reserved": _(
        "One of these parts is set aside for “%(name)s”. Drop that pick list first, or take "
        "another."
    ),
    "part_not_in_stock": _("One of these parts does not lie in stock. Choose the gear again."),
    "picked_twice": _("Something stands here twice. Name each once."),
    "pick_there": _("This pick list was kept before. Open it, or begin a new one."),
    "pick_dropped": _("This pick list was dropped before. There is nothing left to free."),
    "pick_done_with": _("This pick list was dropped. Begin a new one."),
    "nothing_picked": _("Nothing is named that the list could take. Name a device or a part."),
    "picked_before": _("One of these stood on this list before. Take another."),
    "pick_not_short": _("The list is not short of so many of one kind. Open it and fill it again."),
    "lent_to_whom": _("Name the member when it is lent, and only then."),
    "tag_of_one_thing": _("Name the device or the part that bears the tag, not both."),
    "kind_in_use": _("There already are some of this kind, so this stays. Name a new kind."),
    "role_twice": _("%(role)s stands here twice. Say it once, with how many."),
    "load_needs_source": _("Say where the breaking load was published or how it was measured."),
    # Settling in
    "member_is_another": _("%(name)s has another sign-in name. Enrol the other person anew."),
    "member_already": _(
        "%(name)s is or was a member under this sign-in name. Change that membership instead."
    ),
    "address_taken": _("There already is a team at %(slug)s. Choose another address."),
    "sign_in_name_taken": _("Somebody already signs in as %(name)s. Choose another name."),
    "email_taken": _(
        "%(email)s belongs to somebody else’s sign-in name. Enrol them by that name, or leave the "
        "address out."
    ),
    "instructor_must_lead": _(
        "%(name)s cannot answer for this member: it takes another person who is an instructor or "
        "a manager."
    ),
    "last_manager": _("%(name)s is the last manager. Make somebody else one first."),
    "still_responsible": _(
        "%(name)s still has to look after %(sets)s sets. Hand them over or pull them first."
    ),
    "still_instructs": _("Give %(names)s another instructor first."),
    "password_not_yours": _(
        "Only a manager of the team that this person has been in longest can set a new password."
    ),
    "sizes_out_of_order": _("The largest size lies below the smallest. Exchange them."),
    "nothing_supposed": _("Suppose something: a close, snow, water, people, leave, or a draft."),
    "not_in_team": _("Nothing in this team has this id or code. Look it up and send it again."),
    "finding_closed": _("The facts have closed this finding already. There is nothing to say."),
    "dates_out_of_order": _("The last day lies before the first. Exchange them."),
    "feature_id_known": _("Some of these features are in already. Read the file again."),
    "licence_number_taken": _("There already is a licence %(number)s. Check the number."),
    "licence_in_use": _(
        "Sets bear licence %(number)s, so its holder stays. Enter the other licence anew."
    ),
    "agent_is_holder": _("Licence %(number)s is their own: they need no paper for it."),
    "code_taken": _("There already is one with the code %(taken)s. Choose another code."),
    "code_stays": _("A code stays as it was given. Change the name, or add a new one."),
    "too_many_numbers": _("At most %(most)s numbers are set aside at once. Do it in two runs."),
    "stage_twice": _("This is said twice. Leave one out."),
    # What the database itself keeps
    "constraint_lines_numberspent_replaced_once": _(
        "One of these numbers was set aside in the meantime. Look at the book again."
    ),
    "constraint_lines_numberspent_once": _("One of these numbers was already used. Check them."),
    "constraint_standing_setperiod_device_in_one_set": _(
        "By then this device stood in another set. Check the device, the date and the time."
    ),
    "constraint_lines_waitingend_replaced_once": _(
        "This animal is no longer waiting; see the set’s timeline."
    ),
    "constraint_lines_waitingend_once": _(
        "This animal is no longer waiting; see the set’s timeline."
    ),
}
