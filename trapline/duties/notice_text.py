"""What a notice says. Made when it is sent, from the duty as it then is."""

from dataclasses import dataclass
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import override

from trapline.duties.models import Duty, Kind, Notice


@dataclass(frozen=True)
class Message:
    address: str
    subject: str
    text: str


def _moment(duty: Duty, zone: ZoneInfo) -> str:
    return f"{duty.due_at.astimezone(zone):%Y-%m-%d %H:%M} {zone.key}" if duty.due_at else ""


def message_of(notice: Notice) -> Message | None:
    """The e-mail of a notice in its reader's language; None when they have no address."""
    person = notice.to.person
    if person is None or not person.email:
        return None
    duty = notice.duty
    subject_set = duty.set or (duty.waiting.set if duty.waiting else None)
    zone = ZoneInfo(subject_set.line.tz) if subject_set else ZoneInfo("UTC")
    with override(person.language):
        names = {
            "label": subject_set.label if subject_set else "",
            "line": subject_set.line.name if subject_set else "",
            "team": notice.team.name,
            "due": _moment(duty, zone),
            "rule": duty.rule.code if duty.rule else "",
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
