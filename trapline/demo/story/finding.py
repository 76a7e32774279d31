"""What a look finds: the first of several hazards that compete while a set is in service."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from trapline.demo.rates import BURIED_CM, NOTICED_BURIED
from trapline.demo.story.chance import Chance
from trapline.demo.story.season import Season
from trapline.demo.story.stands import Stand

NOTHING, TARGET, OTHER, EMPTY, BURIED = "nothing", "target", "other", "empty", "buried"
CAUSES = (TARGET, OTHER, EMPTY)
NIGHT = timedelta(days=1)


@dataclass
class Tally:
    """What was put in and what came out, by species of the set and cause.

    expected: the hazards summed over the time the sets were in service, up to the event; over
    such times the count less this sum is a martingale with this sum as its variance's mean.
    """

    nights: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    expected: dict[tuple[str, str], float] = field(default_factory=lambda: defaultdict(float))
    seen: dict[tuple[str, str], int] = field(default_factory=lambda: defaultdict(int))


def hazards(stand: Stand) -> dict[str, float]:
    """Per night, of this very set."""
    recipe = stand.recipe
    return {
        TARGET: recipe.target / 100 * stand.effect,
        OTHER: recipe.other / 100,
        EMPTY: recipe.empty / 100,
    }


def look(stand: Stand, at: datetime, season: Season, chance: Chance, tally: Tally) -> str:
    """What is found at `at`, drawn for the time since the last look."""
    buried = None
    if stand.device.kind == "foothold" and stand.placement == "land":
        buried = season.buried_at(stand.last, at, BURIED_CM)
    nights = (min(at, buried or at) - stand.last) / NIGHT
    each = hazards(stand)
    wait = chance.waits(sum(each.values()))
    served = max(0.0, min(wait, nights))
    tally.nights[stand.species] += served
    for cause, hazard in each.items():
        tally.expected[stand.species, cause] += hazard * served
    if wait < nights:
        cause = chance.one_of(each)
        tally.seen[stand.species, cause] += 1
        return cause
    return BURIED if buried is not None and chance.yes(NOTICED_BURIED) else NOTHING
