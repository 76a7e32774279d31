"""What the phone says of keeping and sending."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

KEEPING: dict[str, str | Promise] = {
    # Kept
    "kept_title": _("Kept on this phone"),
    "kept_toast": _("Kept: {what}, {at}."),
    "nothing_kept": _("Nothing was kept in the last week."),
    "show_more": _("Older ones: {n}"),
    "owed_n": _("{n} kept, not sent"),
    "owed_none": _("All sent"),
    "owed_other": _("{n} of {name} wait for their own sign-in."),
    "photos_owed": _("{n} photos are still to be sent."),
    "photos_refused": _("{n} photos were refused. The first: {why}"),
    "send_now": _("Send now"),
    "save_file": _("Save as a file"),
    "saved_file": _("{n} acts are in the file. They stay on the phone too, until they are sent."),
    "corrected": _("{label} · corrected: {what}"),
    "withdrawn": _("{label} · withdrawn"),
    "stop_opened": _("Stop page opened"),
    "undo": _("Undo"),
    "undone": _("Undone: {what}."),
    "not_undone": _("{what} has gone out and stands. Correct it under “Kept”."),
    "state_kept": _("Kept on the phone"),
    "state_offered": _("Kept on the phone; sent, no answer yet"),
    "state_sent": _("Sent"),
    "state_held": _("Sent; it waits for something that is not there yet"),
    "state_needs_review": _("Sent; a leader has to look at it"),
    "state_refused": _("Not taken: the server cannot read it. It stays here until you decide."),
    "send_again": _("Send once more"),
    "throw_away": _("Throw away"),
    "drop_sure": _("Throw away {what}? It is nowhere else."),
    "not_kept": _("NOT kept ({why}). Everything you entered is still on this screen: try again."),
    "not_kept_full": _(
        "NOT kept: the phone’s storage is full. Everything you entered is still on this screen. "
        "Make room (photos, other apps) and try again, or write it down."
    ),
    "battery_low": _("The battery is low: what is not sent was saved as a file as well."),
    "may_erase": _(
        "This browser may erase what is kept here when it runs out of room. Install the page (the "
        "browser’s menu: add to home screen), or send before long."
    ),
    "understood": _("Understood"),
    # The way to the server
    "link_offline": _("no signal"),
    "link_no_answer": _("the server does not answer; nothing is lost"),
    "link_signed_out": _("sign-in has ended"),
    "link_trouble": _("sending failed; nothing is lost"),
    "sign_in": _("Sign in"),
    "sign_in_ended": _(
        "Your sign-in has ended. You can go on: everything is kept here and is sent after you sign "
        "in again."
    ),
    "sign_in_first": _("Sign in first, where there is a signal."),
    "nothing_carried": _("Nothing is carried yet. Open this page once where there is a signal."),
    "to_teams": _("To your teams"),
    "not_https": _(
        "This page is not served over https, so the browser opens nothing without a signal. It "
        "works while there is one. Who runs the server can give it https; the README says how."
    ),
    "no_worker": _("This browser opens no page without a signal. It works while there is one."),
    "worker_failed": _(
        "The page could not be kept for use without a signal. Open it again where there is one."
    ),
    "new_version": _(
        "A new version is ready. It starts the next time you open the page; what is kept stays."
    ),
    "store_blocked": _("Another tab holds an older version open. Close it and open this again."),
    "store_newer": _("A newer version was opened in another tab. Open this page again."),
    "store_failed": _(
        "The browser’s storage cannot be used ({why}). Nothing can be kept here: use the team’s "
        "other pages, or paper."
    ),
    "place_denied": _("The browser gives no position: allow it in the browser’s settings."),
    "place_failed": _("No position yet. Checks can be kept without one."),
    # This phone
    "this_phone": _("This phone"),
    "light": _("Light"),
    "light_system": _("As the device"),
    "light_light": _("Light"),
    "light_dark": _("Dark"),
    "light_red": _("Red light"),
    "carries": _("What it carries"),
    "person": _("Person"),
    "fetched": _("Fetched"),
    "sets": _("Sets"),
    "storage": _("Storage"),
    "storage_says": _("{used} MB used, {most} MB allowed"),
    "persistent": _("Kept by the browser"),
    "persistent_yes": _("yes"),
    "persistent_no": _("it may erase when it runs out of room"),
    "clock": _("Clock"),
    "clock_not_measured": _("not compared yet"),
    "clock_right": _("agrees with the server’s"),
    "clock_fast": _("{n} s ahead of the server’s; times are corrected when they are sent"),
    "clock_slow": _("{n} s behind the server’s; times are corrected when they are sent"),
    "version": _("Version"),
    "fetch_again": _("Fetch again"),
    "tiles_most": _("Room for the map"),
    "tiles_fetch": _("Fetch the map of these sets"),
    "tiles_none": _("No map is kept on this phone."),
    "tiles_going": _("{n} of {all} tiles, {size} MB"),
    "tiles_kept": _("{n} of {all} tiles are kept, {size} MB"),
    "tiles_failed": _("The map could not be fetched whole. Try again where there is a signal."),
    "tiles_need_https": _("The map can be kept only where the page is served over https."),
    "sign_out_title": _("Sign out"),
    "sign_out_says": _("Everything of yours leaves this phone."),
    "sign_out_owed": _(
        "Not sent: acts {n}, photos {photos}. Send them or save them as a file first."
    ),
    "sign_out": _("Sign out and wipe"),
    "load_file": _("Load a saved queue"),
    # A queue as a file
    "not_a_queue": _("This is no saved queue, or it was changed on its way."),
    "file_says": _("{by}: {n} acts, {photos} photos, saved {at} UTC."),
    "send_file": _("Send {n} acts"),
    "file_not_sent": _("The server did not answer. The file is as it was: try again."),
    "answer_applied": _("applied"),
    "answer_known": _("known before"),
    "answer_held": _("waits for something"),
    "answer_needs_review": _("needs review"),
    "answer_refused": _("refused"),
    "answer_conflict": _("conflict"),
    # Photos
    "photos": _("Photos"),
    "photos_help": _("Up to {n}. They are made smaller on the phone and sent after the check."),
    "photos_ready": _("Photos ready: {n}."),
    "photos_some": _("{n} photos are ready; the others could not be read or were too many."),
    "photos_need_https": _("Photos can be kept only where the page is served over https."),
    "photos_sent": _("{n} photos sent"),
}
