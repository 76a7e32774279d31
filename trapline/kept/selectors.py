"""Reads of animals after the catch: where each is, its pelt, its meat, its history."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

from trapline.ground import sql
from trapline.ground.errors import NotYours
from trapline.kept.words import Place

MOST = 300
TAKEN = ("dispatched", "found_dead")


@dataclass(frozen=True)
class KeptAnimal:
    """An animal in effect with where it is. Weights in kg; `from_at`: the visit before its own."""

    animal: UUID
    catch: UUID
    species_code: str
    species: str
    on: date  # local, of the set's line
    at: datetime
    tz: str
    sex: str
    age: str
    alive_on_arrival: bool
    fate: str
    weight_kg: float | None
    site_tag: str
    seal: str
    device_tag: str
    handed_to: str
    reference: str
    licence: str
    checked_by: str
    set: UUID
    set_label: str
    line_id: UUID
    line: str
    from_at: datetime | None
    pelt: str
    pelt_at: datetime | None
    pelt_place: str
    grade: str
    pelt_to: str
    price: Decimal | None
    currency: str
    fit: bool | None
    organs: str | None
    why: str | None
    edible_kg: float | None
    eaten_kg: float
    given_kg: float
    other_kg: float
    place: str
    against_record: bool

    @property
    def taken(self) -> bool:
        """Dispatched or found dead, and kept from there."""
        return self.fate in TAKEN

    @property
    def number(self) -> str:
        """The number it goes by: its site tag, else its seal, else the end of its key."""
        return self.site_tag or self.seal or f"…{str(self.animal)[-6:]}"

    @property
    def used_kg(self) -> float:
        """Meat that went, to whomever."""
        return self.eaten_kg + self.given_kg + self.other_kg

    @property
    def dead_at_most(self) -> timedelta | None:
        """How long it may have been dead when it was found: nothing for one found alive; None

        where no visit before is known.
        """
        if self.alive_on_arrival:
            return timedelta(0)
        return None if self.from_at is None else self.at - self.from_at


def kept_animals(
    team: UUID,
    member: UUID | None = None,
    *,
    first: date | None = None,
    last: date | None = None,
    places: Sequence[str] | None = None,
    pelt: str | None = None,
    animals: Sequence[UUID] | None = None,
    most: int = MOST,
) -> list[KeptAnimal]:
    """Animals, the newest first. One statement. member: those they checked or whose licence is

    theirs.
    """
    values = {
        "team": team, "member": member, "first": first, "last": last,
        "places": None if places is None else list(places), "pelt": pelt,
        "animals": None if animals is None else list(animals), "most": most,
    }  # fmt: skip
    return [KeptAnimal(*row) for row in sql.rows("trapline.kept", "animals", values)]


def access_animal(team: UUID, animal: UUID, member: UUID | None) -> KeptAnimal:
    """One animal, or NotYours. One statement."""
    found = kept_animals(team, member, animals=[animal], most=1)
    if not found:
        raise NotYours
    return found[0]


@dataclass(frozen=True)
class AnimalAsked:
    """What a rule still asks of an animal: a report, a seal or tag, a sample."""

    duty: UUID
    kind: str
    due_at: datetime
    animal: UUID
    species: str
    site_tag: str
    seal: str
    tz: str
    rule: str | None
    who: str | None


def animals_asked(team: UUID, member: UUID | None = None, *, most: int = MOST) -> list[AnimalAsked]:
    """Animals that are still to be reported, sealed, tagged or sampled. One statement."""
    values = {"team": team, "member": member, "most": most}
    return [AnimalAsked(*row) for row in sql.rows("trapline.kept", "animals_asked", values)]


@dataclass(frozen=True)
class Entry:
    """One entry about an animal. `undone`: why it was taken back; empty while it counts."""

    what: str
    id: UUID
    at: datetime
    by: str
    state: str
    kg: float | None
    said: str
    price: Decimal | None
    currency: str
    undone: str
    undone_by: str


def history_of(team: UUID, animal: UUID) -> list[Entry]:
    """What was entered about an animal after its catch, in order of time. One statement."""
    values = {"team": team, "animal": animal}
    return [Entry(*row) for row in sql.rows("trapline.kept", "history", values)]


@dataclass(frozen=True)
class SpeciesAccount:
    """How many of a species are where. `of_pelt`: of those in the room, by state."""

    code: str
    name: str
    at_place: dict[str, int]
    of_pelt: dict[str, int]

    @property
    def animals(self) -> int:
        """In the record."""
        return sum(self.at_place.values())

    @property
    def accounted(self) -> int:
        """Of which somebody has said where they are."""
        return self.animals - self.at_place.get(Place.UNSAID, 0)


@dataclass(frozen=True)
class Stray:
    """An entry about an animal that no catch of the record bears."""

    animal: UUID
    what: str
    state: str
    at: datetime
    by: str


@dataclass(frozen=True)
class Account:
    """Where every animal is. It balances when `difference` is 0.

    `twice`: animals that stand on more than one catch, by how many; `against`: let go or handed
    over by the record, yet with a pelt or meat; `strays`: entries about no animal of the record.
    """

    species: tuple[SpeciesAccount, ...]
    twice: int
    against: int
    strays: tuple[Stray, ...]
    sold: dict[str, Decimal]

    def total(self, place: str) -> int:
        return sum(one.at_place.get(place, 0) for one in self.species)

    @property
    def animals(self) -> int:
        return sum(one.animals for one in self.species)

    @property
    def difference(self) -> int:
        """Animals and entries that stand on one side only."""
        return self.total(Place.UNSAID) + self.twice + self.against + len(self.strays)


def account(
    team: UUID,
    member: UUID | None = None,
    *,
    first: date | None = None,
    last: date | None = None,
) -> Account:
    """The account of the animals of some days. Two statements; one for a member, who is shown no

    strays, since an animal without a catch is nobody's in particular.
    """
    values = {"team": team, "member": member, "first": first, "last": last}
    species: dict[str, SpeciesAccount] = {}
    twice = against = 0
    sold: dict[str, Decimal] = {}
    for row in sql.rows("trapline.kept", "account", values, kept=False):
        code, name, place, pelt, count, more, wrong, price, currency = row
        if code is None:  # all of them
            twice, against = more, wrong
            continue
        one = species.setdefault(code, SpeciesAccount(code, name, {}, {}))
        one.at_place[place] = one.at_place.get(place, 0) + count
        if place == Place.ROOM:
            one.of_pelt[pelt] = one.of_pelt.get(pelt, 0) + count
        if price is not None:
            sold[currency] = sold.get(currency, Decimal(0)) + price
    strays = () if member else tuple(_strays(team))
    return Account(tuple(species.values()), twice, against, strays, sold)


def _strays(team: UUID) -> list[Stray]:
    values: dict[str, Any] = {"team": team, "most": MOST}
    return [Stray(*row) for row in sql.rows("trapline.kept", "strays", values)]
