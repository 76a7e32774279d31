"""Reads of report forms and of reports that were filed."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from trapline.ground.errors import NotYours
from trapline.reports.form import Form, digest, read_form, shipped
from trapline.reports.models import Filing, FormTaken


@dataclass(frozen=True)
class FormShown:
    """A form in force for a team. `number` 0: as it came with the program."""

    form: Form
    text: str
    sha256: str
    number: int


def forms_of(team: UUID) -> list[FormShown]:
    """Every form in force, by title. One statement."""
    texts = {code: (text, 0) for code, text in shipped().items()}
    taken = FormTaken.objects.filter(team_id=team).order_by("code", "number")
    for code, text, number in taken.values_list("code", "text", "number"):
        texts[code] = (text, number)
    found = [
        FormShown(read_form(text), text, digest(text), number) for text, number in texts.values()
    ]
    return sorted(found, key=lambda one: one.form.title)


def form_of(team: UUID, code: str) -> FormShown | None:
    """The form in force under this code; None when there is none. One statement."""
    return next((one for one in forms_of(team) if one.form.code == code), None)


def filings_of(team: UUID, holder: UUID | None = None) -> list[Filing]:
    """Filed reports, newest first, without their snapshots. One statement."""
    found = Filing.objects.filter(team_id=team).select_related("licence__holder", "by")
    if holder is not None:
        found = found.filter(licence__holder_id=holder)
    return list(found.defer("snapshot").order_by("-at", "-id"))


def access_filing(team: UUID, filing: UUID, holder: UUID | None = None) -> Filing:
    """A filed report of the team, of this holder's licences; NotYours otherwise. One statement."""
    found = Filing.objects.filter(team_id=team, id=filing).select_related(
        "licence__holder", "by", "amends"
    )
    if holder is not None:
        found = found.filter(licence__holder_id=holder)
    one: Filing | None = found.first()
    if one is None:
        raise NotYours
    return one


def newest_of(team: UUID, licence: UUID, code: str, first: Any, last: Any) -> Filing | None:
    """The filing of these days that nothing amends yet. One statement."""
    same = Filing.objects.filter(
        team_id=team, licence_id=licence, form_code=code, first=first, last=last
    )
    amended = same.exclude(amends=None).values("amends_id")
    found: Filing | None = same.exclude(id__in=amended).first()
    return found


def content(filing: Filing) -> dict[str, Any]:
    """What was frozen, read."""
    read: dict[str, Any] = json.loads(bytes(filing.snapshot))
    return read
