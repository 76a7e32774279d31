"""Before a report is filed: does it balance with the record, and what stands open?"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from trapline.ground import sql
from trapline.lines.models import Line
from trapline.lines.selectors import numbers_adrift
from trapline.people.models import Licence
from trapline.reports.form import Form
from trapline.reports.harvest import TAKEN
from trapline.reports.period import Period
from trapline.reports.rows import Made

# What keeps a report from being filed; a standing set only where the report is a season's.
STOPS = ("still_running", "wrong_period", "outside_licence", "number_twice", "not_coded",
         "not_logged", "number_adrift")  # fmt: skip
# What has to be explained in the note when it is filed.
EXPLAINS = ("duty_open", "not_sealed", "number_left", "set_standing")
# What the reader should know.
TELLS = ("set_lost", "sex_unknown", "age_unknown", "zone_unknown")
ORDER = (*STOPS, *EXPLAINS, *TELLS)


@dataclass(frozen=True)
class Item:
    """One question: what is open, by name. Without names it is in order."""

    code: str
    names: tuple[str, ...]
    stops: bool
    explains: bool


@dataclass(frozen=True)
class Reconciled:
    """The balance. `animals` counts those of the licence and period in the record, `taken` of
    them; `sealed` and `unsealed` divide the taken; `rows` are the report's."""

    animals: int
    taken: int
    sealed: int
    unsealed: int
    rows: int
    items: tuple[Item, ...]

    @property
    def stopped(self) -> tuple[Item, ...]:
        return tuple(item for item in self.items if item.stops and item.names)

    @property
    def to_explain(self) -> tuple[Item, ...]:
        return tuple(item for item in self.items if item.explains and item.names)


def reconcile(
    team: UUID, form: Form, licence: Licence, period: Period, made: Made, moment: datetime
) -> Reconciled:
    """Three statements: the lines' clocks, what is open, numbers adrift."""
    clocks = list(Line.objects.filter(team_id=team).values_list("tz", flat=True).distinct())
    ends = max(period.instants(tz)[1] or moment for tz in clocks or ["UTC"])
    found: dict[str, list[str]] = {}
    values = {"team": team, "licence": licence.id, "ends": ends}
    for what, name in sql.rows("trapline.reports", "open_ends", values):
        found.setdefault(what, []).append(name)
    if ends > moment:
        found["still_running"] = [f"{period.last}"]
    if not fits_form(form, period):
        found["wrong_period"] = [f"{period.first} – {period.last}"]
    found["not_coded"] = list(made.uncoded)
    found["number_adrift"] = [
        one.text for one in numbers_adrift(team) if one.licence_number == licence.number
    ]
    animals = made.harvest.animals
    _look(found, licence, made)
    season = form.period == "season"
    items = tuple(
        Item(
            code,
            tuple(found.get(code, ())),
            stops=code in STOPS or (code == "set_standing" and season),
            explains=code in EXPLAINS,
        )
        for code in ORDER
    )
    taken = [one for one in animals if one.fate in TAKEN]
    sealed = sum(1 for one in taken if one.seal)
    return Reconciled(len(animals), len(taken), sealed, len(taken) - sealed, len(made.rows), items)


LONGEST_SEASON = timedelta(days=366)


def fits_form(form: Form, period: Period) -> bool:
    """Whether the days are those that the form is about: one whole month, or at most a year."""
    first, last = period.first, period.last
    if form.period == "dates" or first is None or last is None:
        return form.period == "dates"
    if form.period == "season":
        return last - first < LONGEST_SEASON
    after = last + timedelta(days=1)
    return first.day == 1 and after.day == 1 and (after - first).days <= 31


def _look(found: dict[str, list[str]], licence: Licence, made: Made) -> None:
    numbers: Counter[str] = Counter()
    for one in made.harvest.animals:
        name = f"{one.species_name}, {one.date} {one.line} {one.set}"
        for code, unknown in (
            ("outside_licence", not licence.valid_from <= one.date <= licence.valid_until),
            ("sex_unknown", one.sex == "unknown" and one.fate in TAKEN),
            ("age_unknown", one.age == "unknown" and one.fate in TAKEN),
            ("zone_unknown", not one.zone),
        ):
            if unknown:
                found.setdefault(code, []).append(name)
        numbers.update(text for text in (one.site_tag, one.seal) if text)
    found["number_twice"] = [text for text, count in numbers.items() if count > 1]
