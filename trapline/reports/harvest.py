"""The harvest report: every animal in effect, by the licence it counts against."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields
from datetime import date, datetime, timedelta
from itertools import groupby
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from trapline.duties.models import OPEN, Duty, Kind
from trapline.ground import sql
from trapline.ground.errors import NotYours
from trapline.lines.words import Fate
from trapline.reports.period import Period

TAKEN = (Fate.DISPATCHED, Fate.DEAD)


@dataclass(frozen=True)
class Animal:
    """One row of the harvest file; its fields are the columns, in order."""

    licence: str
    animal: UUID
    species: str
    species_name: str
    species_latin: str
    date: date  # local, of the set's line
    at: datetime  # on that line's clock
    time_zone: str
    zone: str
    device_class: str
    device_kind: str
    placement: str
    sex: str
    age: str
    alive_on_arrival: bool
    fate: str
    target: bool
    site_tag: str
    device_tag: str
    seal: str
    checked_by: str
    hours_possibly_held: float | None  # found less last visit, in tenths, rounded up
    line: str
    set: str


COLUMNS = tuple(field.name for field in fields(Animal))


@dataclass(frozen=True)
class SpeciesTotal:
    """How many of a species, by what became of them. Taken: dispatched or found dead."""

    species: str
    name: str
    animals: int
    taken: int
    released: int
    handed_to: int
    got_away: int


@dataclass(frozen=True)
class LicenceHarvest:
    """What is reported under one licence. No animals: a nil report."""

    id: UUID
    number: str
    authority: str
    holder: str
    animals: tuple[Animal, ...]

    @property
    def nil(self) -> bool:
        return not self.animals

    @property
    def totals(self) -> list[SpeciesTotal]:
        return totals_by_species(self.animals)


@dataclass(frozen=True)
class Harvest:
    """A team's harvest. Reports are filed per licence; the team's total is only a sum."""

    period: Period
    licences: tuple[LicenceHarvest, ...]

    def animals(self) -> Iterator[Animal]:
        for licence in self.licences:
            yield from licence.animals

    @property
    def totals(self) -> list[SpeciesTotal]:
        return totals_by_species(self.animals())


def harvest(
    team: UUID, period: Period, *, licence: UUID | None = None, holder: UUID | None = None
) -> Harvest:
    """The harvest of a period, by licence number and then time. One statement.

    licence: only this one, NotYours when it is not there. holder: only licences of this member.
    Without `licence`, a licence is in it when it has an animal or was valid within the period.
    """
    rows = sql.rows(
        "trapline.reports",
        "harvest",
        {
            "team": team, "licence": licence, "holder": holder,
            "first": period.first, "last": period.last,
        },
    )  # fmt: skip
    if licence is not None and not rows:
        raise NotYours
    return Harvest(
        period,
        tuple(
            _licence(head, [row[4:] for row in told])
            for head, told in groupby(rows, key=lambda row: row[:4])
        ),
    )


def not_logged(team: UUID, holder: UUID | None = None) -> int:
    """Animals whose waiting ended and whose catch is not logged yet. One statement.

    They are in no harvest until they are. holder: only under licences of this member.
    """
    owed = Duty.objects.filter(team_id=team, kind=Kind.LOG_CATCH, state__in=OPEN)
    if holder is not None:
        owed = owed.filter(waiting__set__licence__holder_id=holder)
    count: int = owed.count()
    return count


def totals_by_species(animals: Iterable[Animal]) -> list[SpeciesTotal]:
    """Totals by name of species."""
    fates: dict[tuple[str, str], Counter[str]] = {}
    for animal in animals:
        fates.setdefault((animal.species_name, animal.species), Counter())[animal.fate] += 1
    return [
        SpeciesTotal(
            species=code,
            name=name,
            animals=count.total(),
            taken=sum(count[fate] for fate in TAKEN),
            released=count[Fate.RELEASED],
            handed_to=count[Fate.HANDED],
            got_away=count[Fate.GOT_AWAY],
        )
        for (name, code), count in sorted(fates.items())
    ]


def _licence(head: tuple[Any, ...], rows: list[tuple[Any, ...]]) -> LicenceHarvest:
    key, number, authority, holder = head
    animals = tuple(_animal(number, *row) for row in rows if row[0] is not None)
    return LicenceHarvest(key, number, authority, holder, animals)


def _animal(
    licence: str, animal: UUID, code: str, name: str, latin: str, day: date, at: datetime, tz: str,
    zone: str, device_class: str, device_kind: str, placement: str, sex: str, age: str,
    alive: bool, fate: str, target: bool, site_tag: str, device_tag: str, seal: str, by: str,
    from_at: datetime | None, line: str, label: str,
) -> Animal:  # fmt: skip
    return Animal(
        licence=licence, animal=animal, species=code, species_name=name, species_latin=latin,
        date=day, at=at.astimezone(ZoneInfo(tz)), time_zone=tz, zone=zone,
        device_class=device_class, device_kind=device_kind, placement=placement, sex=sex, age=age,
        alive_on_arrival=alive, fate=fate, target=target, site_tag=site_tag,
        device_tag=device_tag, seal=seal, checked_by=by,
        hours_possibly_held=None if from_at is None else tenths_of_hours(at - from_at),
        line=line, set=label,
    )  # fmt: skip


def tenths_of_hours(span: timedelta) -> float:
    """Hours in tenths, rounded up: a time held is never told shorter than it may have been."""
    return -(-span // timedelta(minutes=6)) / 10
