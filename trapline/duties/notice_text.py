"""What a notice says. Made when it is sent, from the duty as it then is."""

from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, override

from trapline.duties.models import Duty, Kind, Notice


@dataclass(frozen=True)
class Message:
    address: str
    subject: str
    text: str


def _moment(duty: Duty, zone: ZoneInfo) -> str:
    return f"{duty.due_at.astimezone(zone):%Y-%m-%d %H:%M} {zone.key}" if duty.due_at else ""


# Subject and text by kind; the moment says by itself whether it has passed.
_ASKED = {
    Kind.PULL: (
        gettext_noop("Pull before the close: %(label)s (%(line)s)"),
        gettext_noop("The season of set %(label)s on %(line)s closes. Pull it before %(due)s."),
    ),
    Kind.REPORT: (
        gettext_noop("Report due: %(species)s at %(label)s (%(line)s)"),
        gettext_noop("A %(species)s caught in %(label)s on %(line)s is to be reported before "
                     "%(due)s.\nRule: %(rule)s."),
    ),
    Kind.SEAL: (
        gettext_noop("Seal or tag due: %(species)s from %(label)s (%(line)s)"),
        gettext_noop("A %(species)s from %(label)s on %(line)s is to be sealed or tagged before "
                     "%(due)s.\nRule: %(rule)s."),
    ),
    Kind.SAMPLE: (
        gettext_noop("Sample due: %(species)s from %(label)s (%(line)s)"),
        gettext_noop("A sample of the %(species)s from %(label)s on %(line)s is to be handed in "
                     "before %(due)s.\nRule: %(rule)s."),
    ),
    Kind.FILE: (
        gettext_noop("Report to be filed: licence %(about)s"),
        gettext_noop("The report for licence %(about)s is to be filed before %(due)s.\n"
                     "Rule: %(rule)s."),
    ),
    Kind.RENEW: (
        gettext_noop("Permission to be renewed: %(about)s"),
        gettext_noop("The permission for %(about)s is to be renewed before %(due)s. Give it new "
                     "dates, or say that it ends."),
    ),
    Kind.STOCK: (
        gettext_noop("Buy more: %(about)s"),
        gettext_noop("Of %(about)s fewer lie in stock than the team wants. Buy or mend some before "
                     "%(due)s, and take them into stock."),
    ),
}  # fmt: skip


def _set_of(duty: Duty) -> Any:
    if duty.caught is not None:
        return duty.caught.check_made.set
    return duty.set or (duty.waiting.set if duty.waiting else None)


def _about(duty: Duty) -> str:
    if duty.permission is not None:
        return str(duty.permission.name)
    if duty.part_kind is not None:
        return str(duty.part_kind.name)
    return str(duty.licence.number) if duty.licence is not None else ""


def message_of(notice: Notice) -> Message | None:
    """The e-mail of a notice in its reader's language; None when they have no address."""
    person = notice.to.person
    if person is None or not person.email:
        return None
    duty = notice.duty
    subject_set = _set_of(duty)
    zone = ZoneInfo(duty.of_line.tz) if duty.of_line else ZoneInfo("UTC")
    with override(person.language):
        names = {
            "label": subject_set.label if subject_set else "",
            "line": duty.of_line.name if duty.of_line else "",
            "team": notice.team.name,
            "due": _moment(duty, zone),
            "rule": duty.rule.code if duty.rule else "",
            "species": duty.caught.species.name if duty.caught else "",
            "about": _about(duty),
        }
        if duty.kind == Kind.WAITING:
            subject = _("Animal waiting at %(label)s (%(line)s)") % names
            text = _(
                "An animal is waiting in set %(label)s on %(line)s, reported for %(due)s.\n"
                "Go only if you can do it safely; local codes and the licensing authority decide "
                "what may be done with the animal."
            )
        elif duty.kind == Kind.SEARCH:
            subject = _("Search: set %(label)s (%(line)s) was dragged off") % names
            text = _("Set %(label)s on %(line)s was dragged off. A search is due since %(due)s.")
        elif duty.kind in _ASKED:
            subject, text = (_(words) % names for words in _ASKED[duty.kind])
        elif duty.due_at is not None and notice.made_at < duty.due_at:
            subject = _("Check due: %(label)s (%(line)s)") % names
            text = _("Set %(label)s on %(line)s is to be checked before %(due)s.\nRule: %(rule)s.")
        else:
            subject = _("Overdue: %(label)s (%(line)s)") % names
            text = _(
                "Set %(label)s on %(line)s was to be checked before %(due)s and no check is known."
                "\nRule: %(rule)s."
            )
        foot = _("Sent by Lineward for %(team)s. These are the team's own rules as entered.")
        return Message(person.email, subject, f"{text % names}\n\n{foot % names}\n")
