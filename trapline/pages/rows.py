"""Rows of what is due, made ready in Python: a page may have hundreds, and a template is slow."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.urls import reverse
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from trapline.duties.selectors import OVERDUE, Due, SetOnLine
from trapline.pages.templatetags.lineward import due as due_marked_up
from trapline.pages.templatetags.lineward import left
from trapline.people.models import Team
from trapline.people.rights import Actor
from trapline.wording.vocabulary import label_of

_NOBODY = UUID(int=0)


@dataclass(frozen=True)
class Row:
    """One row: its sign, what it is, when, and the address of what to do."""

    sign: str
    name: str
    address: str  # empty where there is no set to go to
    beside: str  # the line, where the page does not say it
    pressing: str  # what stands before the rest in strong words
    more: str
    late: bool
    left: str
    due: SafeString | str
    stale: bool
    deed: str  # the address of what is to be done, or empty
    deed_words: str


class Rows:
    """Makes rows for one reader at one moment."""

    def __init__(self, actor: Actor, team: Team, moment: datetime) -> None:
        self.leads, self.stamp, self.moment = actor.leads, team.rule_stamp, moment
        self.manages = actor.manages
        self._set = reverse("set", args=[actor.team_slug, _NOBODY])
        self._check = reverse("check", args=[actor.team_slug, _NOBODY])
        self._renew = reverse("change_permission", args=[actor.team_slug, _NOBODY])
        self._pull = reverse("pull", args=[actor.team_slug, _NOBODY])
        self._evidence = reverse("evidence", args=[actor.team_slug, _NOBODY])
        self._land = reverse("land", args=[actor.team_slug])
        self._part_kind = reverse("part_kind", args=[actor.team_slug, _NOBODY])
        self._stock = reverse("stock_parts", args=[actor.team_slug])

    def of_duties(self, dues: Iterable[Due]) -> list[Row]:
        """Rows of duties, with their lines."""
        return [self._of_duty(one) for one in dues]

    def of_sets(self, sets: Iterable[SetOnLine], *, with_line: bool = False) -> list[Row]:
        """Rows of sets with their next checks."""
        return [self._of_set(one, with_line) for one in sets]

    def _of_duty(self, one: Due) -> Row:
        late, is_check = one.section == OVERDUE, one.kind == "check"
        words = label_of("duty", one.kind)
        parts = [
            one.species or label_of("device_class", one.device_class),
            one.who_name if self.leads else "",
        ]
        deed, deed_words = self._deed(one)
        return Row(
            sign="overdue" if late and is_check else one.kind,
            name=one.label or one.about or words,
            address=self._address(one),
            beside=one.line_name,
            pressing="" if is_check or not (one.label or one.about) else words,
            more=_dotted(parts),
            late=late,
            left=left(one.due_at, self.moment),
            due=due_marked_up(one.due_at, one.tz),
            stale=is_check and one.stamp < self.stamp,
            deed=deed,
            deed_words=deed_words,
        )

    def _address(self, one: Due) -> str:
        """Where one reads what the duty is about; empty where there is no such page."""
        if one.part_kind is not None:
            return self._at(self._part_kind, one.part_kind)
        return self._land if one.permission else self._at(self._set, one.set)

    def _deed(self, one: Due) -> tuple[str, str]:
        """The address of what ends the duty, and what to call it."""
        if one.kind in ("check", "search"):
            return self._at(self._check, one.set), _("Check")
        if one.kind == "log_catch":
            check = self._at(self._check, one.set)
            return f"{check}?waiting={one.waiting}", _("Log it")
        if one.kind == "pull":
            return self._at(self._pull, one.set), _("Pull")
        if one.kind == "renew":
            return self._at(self._renew, one.permission if self.manages else None), _("Renew")
        if one.kind == "stock":
            return f"{self._stock}?kind={one.part_kind}", _("Take into stock")
        return ("", "") if one.kind == "animal_waiting" else (
            self._at(self._evidence, one.duty), _("Done"),
        )  # fmt: skip

    def _of_set(self, one: SetOnLine, with_line: bool) -> Row:
        late = one.due_at is not None and one.due_at <= self.moment
        parts = [
            f"{one.kind} {one.mark}",
            label_of("placement", one.placement),
            one.responsible_name if self.leads else "",
            _("last: %(found)s") % {"found": label_of("found", one.last_found)}
            if one.last_found
            else "",
        ]
        return Row(
            sign=sign_of(one, self.moment),
            name=one.label,
            address=self._at(self._set, one.id),
            beside=one.line_name if with_line else "",
            pressing=_("animal waiting")
            if one.waiting
            else _("search due")
            if one.searching
            else "",
            more=_dotted(parts),
            late=late,
            left=left(one.due_at, self.moment),
            due=due_marked_up(one.due_at, one.tz),
            stale=one.stamp is not None and one.stamp < self.stamp,
            deed=self._at(self._check, one.id),
            deed_words=_("Check"),
        )

    @staticmethod
    def _at(address: str, key: UUID | None) -> str:
        return "" if key is None else address.replace(str(_NOBODY), str(key))


def sign_of(one: SetOnLine, moment: datetime) -> str:
    """The shape a set has in a list and on the map."""
    if one.waiting:
        return "animal_waiting"
    if one.searching:
        return "search"
    return "overdue" if one.due_at is not None and one.due_at <= moment else "check"


def _dotted(parts: Iterable[str]) -> str:
    return " · ".join(part for part in parts if part)
