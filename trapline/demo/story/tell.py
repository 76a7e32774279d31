"""The whole story: from a terrain, a seed and a moment to the acts, in the order they came in."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from trapline.demo import cast
from trapline.demo.rules import demo_rulebook
from trapline.demo.story import furs, rounds, turns
from trapline.demo.story.before import before
from trapline.demo.story.book import Book
from trapline.demo.story.chance import Chance
from trapline.demo.story.deeds import Deed, Ref
from trapline.demo.story.finding import Tally
from trapline.demo.story.season import Season, in_this_year, season_of
from trapline.demo.story.stands import Stand, Workshop, stands_of
from trapline.demo.story.store import store
from trapline.demo.terrain.model import Terrain


@dataclass(frozen=True)
class Story:
    """What happened, and what had been put in for it to happen."""

    season: Season
    deeds: tuple[Deed, ...]
    stands: tuple[Stand, ...]
    tally: Tally
    ids: Mapping[Ref, UUID]  # what the deeds name; species and skills only the database knows
    begins: datetime  # when the team is made, before the first deed


def tell(terrain: Terrain, seed: int, now: datetime, *, small: bool = False) -> Story:
    """A season that ends at `now`. The same terrain, seed and moment tell the same one."""
    season, chance = season_of(seed, now, small=small), Chance(seed)
    shop = Workshop(chance)
    book = Book(season, chance, shop, stands_of(terrain, season, chance, shop, small=small))
    areas = {str(zone.facts["code"]): zone.geometry for zone in terrain.zones}
    in_force = season.at(season.first_day - 25, 0)
    rulebook = demo_rulebook(areas, in_force).plain()
    before(book, terrain, in_this_year(rulebook, season))
    turns.plan(book, small=small)
    for day in range(season.first_day, season.today + 1):
        turns.readings(book, day)
        for person in cast.PEOPLE:
            rounds.day_of(book, day, person)
        turns.evening(book, day, small=small)
    turns.last_hour(book)
    store(book)
    furs.weeks(book)
    heard = [deed for deed in book.deeds if deed.received_at <= now + timedelta(minutes=1)]
    heard.sort(key=lambda deed: deed.received_at)
    begins = heard[0].received_at - timedelta(hours=1)
    return Story(season, tuple(heard), tuple(book.stands), book.tally, book.ids, begins)
