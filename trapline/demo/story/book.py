"""What the story's parts share: the season, chance, the sets, the deeds told so far."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from trapline.demo import cast
from trapline.demo.story.chance import Chance
from trapline.demo.story.deeds import Deed, Ref
from trapline.demo.story.finding import Tally
from trapline.demo.story.season import Season
from trapline.demo.story.stands import Device, Stand, Workshop

AT_ONCE = timedelta(seconds=40)  # from the tap to the server, with signal


@dataclass
class Mending:
    """A device whose cable a catch spent, with the parts that can be used again."""

    line: int
    device: Device


@dataclass
class Book:
    """The story as far as it has been told."""

    season: Season
    chance: Chance
    shop: Workshop
    stands: list[Stand]
    tally: Tally = field(default_factory=Tally)
    deeds: list[Deed] = field(default_factory=list)
    ids: dict[Ref, UUID] = field(default_factory=dict)  # of what the story itself names
    on_the_trail: list[Deed] = field(default_factory=list)  # not yet sent
    mending: list[Mending] = field(default_factory=list)
    alarmed: list[Stand] = field(default_factory=list)  # where an animal waits in the end
    signed: dict[str, int] = field(default_factory=dict)  # who may dispatch, from which day
    _numbers: dict[tuple[str, str], int] = field(default_factory=dict)

    def say(
        self, by: str, at: datetime, kind: str, body: dict[str, Any],
        received_at: datetime | None = None,
    ) -> None:  # fmt: skip
        """A deed that the server hears of at once, unless said otherwise."""
        self.deeds.append(Deed(received_at or at + AT_ONCE, at, by, kind, body))

    def note(self, by: str, at: datetime, kind: str, body: dict[str, Any]) -> None:
        """A deed that stays on the phone until the round is over."""
        self.on_the_trail.append(Deed(at, at, by, kind, body))

    def home(self) -> None:
        """Back where there is signal: what the phone holds is sent, in order."""
        if not self.on_the_trail:
            return
        sent = self.on_the_trail[-1].at + timedelta(minutes=12)
        sent = min(sent, self.season.now)
        self.deeds += [Deed(sent, d.at, d.by, d.kind, d.body) for d in self.on_the_trail]
        self.on_the_trail.clear()

    def number(self, holder: str, kind: str) -> str:
        """The next number of a licence's book."""
        licence = next(one for one in cast.LICENCES if one.holder == holder)
        prefix, first, last = licence.site_tags if kind == "site_tag" else licence.seals
        used = self._numbers.get((holder, kind), 0)
        self._numbers[holder, kind] = used + 1
        if first + used > last:
            raise ValueError(f"The demo's book of {kind} for {holder} is too short.")
        return f"{prefix}{first + used}"

    def may_dispatch(self, who: str, day: int) -> bool:
        return who in self.signed and self.signed[who] <= day

    def mine(self, who: str, day: int) -> list[Stand]:
        """Whose sets stand on a day's morning, in order along the line."""
        morning = self.season.at(day, 0)
        found = [s for s in self.stands if s.active and s.who == who and s.placed_at < morning]
        return sorted(found, key=lambda stand: stand.place.number)

    def named(self, noun: str, key: str, at: datetime) -> UUID:
        """A new id by which deeds can refer to this from now on."""
        self.ids[Ref(noun, key)] = made = self.chance.id(at)
        return made

    def new_id(self, at: datetime) -> UUID:
        return self.chance.id(at)
