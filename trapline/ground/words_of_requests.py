"""Sentences for what can be wrong with a request, before any act is looked at."""

from django.utils.translation import gettext_lazy as _

# One for each kind of problem that an answer can name (api/problems.py).
TITLES = {
    "refused": _("This cannot be read"),
    "cannot_apply": _("This cannot be done as things stand"),
    "conflict": _("This id stands for something else"),
    "not_found": _("Nothing here"),
    "not_signed_in": _("Sign in first"),
    "not_allowed": _("Not allowed"),
    "method": _("No such method here"),
    "not_acceptable": _("No such form of answer"),
    "media_type": _("No such form of request"),
    "too_large": _("Too large"),
    "locked": _("Too many attempts"),
    "server": _("A fault of the server"),
}

REQUEST_WORDS = {
    "several": _("%(count)s things are wrong; each is named with its reason."),
    "not_found": _("There is nothing at this address, or it is not yours to see."),
    "not_signed_in": _("Send a token or sign in. A token that was revoked no longer holds."),
    "not_allowed": _("The request did not come from a page of this site. Load the page anew."),
    "sign_in_wrong": _("This sign-in name and password do not belong together."),
    "method": _("%(method)s is not answered at this address."),
    "not_acceptable": _("None of the forms that were asked for can be given. Ask for JSON."),
    "media_type": _("%(media)s is not read at this address."),
    "locked": _("Too many failed attempts. Wait %(minutes)s minutes and try again."),
    "server": _("Something broke on our side and was written to the server’s log. Try again."),
    "json_syntax": _("This is not JSON: %(said)s (column %(column)s)."),
    "json_utf8": _("This is not UTF-8 (byte %(byte)s)."),
    "json_number": _("This number is too large to be read."),
    "json_too_deep": _("This is nested deeper than %(most)s steps."),
    "json_text": _("This text holds a character that cannot be kept."),
    "json_not_object": _("A JSON object is needed, with fields and values."),
    "cut_short": _("The request ended before it was whole. Send it again."),
    "needs_at": _("An id of your own needs its time (at), or a repeat cannot be told."),
    "no_such_filter": _("There is no such filter here. There are: %(filters)s."),
    "filter_value": _("One value is needed here. To ask for all, leave it out."),
    "cursor": _("This cursor does not belong to this list. Begin without one."),
    "limit": _("A whole number from 1 to %(most)s is needed."),
    "bbox": _("West, south, east and north are needed, in degrees, with commas between them."),
}
