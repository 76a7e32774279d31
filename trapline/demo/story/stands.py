"""The sets and devices of the story, as it knows them while it goes along."""

from dataclasses import dataclass, field
from datetime import datetime
from math import cos, radians
from uuid import UUID

from trapline.demo import cast
from trapline.demo.gear import KINDS, PREFIX, REMADE, SPARES
from trapline.demo.rates import RECIPES, SHAPE, Recipe
from trapline.demo.story.chance import Chance
from trapline.demo.story.season import Season
from trapline.demo.terrain.model import SetPlace, Terrain

SPECIES = {"red fox": "red_fox"}  # the terrain's names that differ from the rulebook's codes
PLACEMENTS = {"waters_edge": "water_edge"}
PLACED_A_DAY, FIRST_MINUTES, APART_MINUTES = 6, 750.0, 21.0
ICE_M = 0.12  # nobody goes under the ice for less, here; no measure of what bears


@dataclass
class Device:
    """A device and the ids of its parts, by the keys of gear.PARTS."""

    id: UUID
    kind: str
    mark: str
    parts: dict[str, list[UUID]]


@dataclass
class Stand:
    """A set."""

    id: UUID
    place: SetPlace
    line: int
    label: str
    species: str
    placement: str
    who: str
    device: Device
    effect: float
    placed_at: datetime
    last: datetime  # the last look that counts
    lonlat: tuple[float, float]
    active: bool = True
    snow_then: float = 0.0  # when its loop was last put right
    busy_until: datetime | None = None
    left_from: datetime | None = None  # nobody goes there any more from here on
    kept: bool = False  # the story ends with it: no animal goes off with it
    pull_on: int | None = None
    move_on: int | None = None
    lose_on: int | None = None

    @property
    def recipe(self) -> Recipe:
        return RECIPES[self.species]

    @property
    def holding(self) -> bool:
        return KINDS[self.device.kind].action == "holding"


@dataclass
class Workshop:
    """Devices and spares, each made with the ids of its parts."""

    chance: Chance
    spares: dict[tuple[int, str], list[Device]] = field(default_factory=dict)
    _count: dict[str, int] = field(default_factory=dict)

    def device(self, kind: str, at: datetime) -> Device:
        number = self._count[kind] = self._count.get(kind, 0) + 1
        parts = {
            part: [self.chance.id(at) for _ in range(count)]
            for part, (count, _after) in KINDS[kind].built.items()
        }
        return Device(self.chance.id(at), kind, f"{PREFIX[kind]}-{number:02}", parts)

    def spare(self, line: int, kind: str) -> Device | None:
        """A device that is ready, taken from the shelf."""
        shelf = self.spares.get((line, kind), [])
        return shelf.pop(0) if shelf else None


def near(chance: Chance, lonlat: tuple[float, float], metres: float) -> tuple[float, float]:
    """A place about so far from another, in any direction; degrees to six decimals."""
    east, north = chance.around(0, metres / 1.4), chance.around(0, metres / 1.4)
    lon, lat = lonlat
    there = lon + east / (111_320 * cos(radians(lat))), lat + north / 110_540
    return round(there[0], 6), round(there[1], 6)


def stands_of(
    terrain: Terrain, season: Season, chance: Chance, shop: Workshop, *, small: bool
) -> list[Stand]:
    """The sets with their devices, and the spares of each line."""
    names = [line.name for line in terrain.lines]
    chosen = (cast.SMALL_LINE,) if small else range(len(names))
    stands: list[Stand] = []
    for line in chosen:
        along = [place for place in terrain.sets if place.line == names[line]]
        owners = _few(along) if small else _all(line)
        made = [
            _stand(season, chance, shop, along[number - 1], line, number, who, turn)
            for turn, (number, who) in enumerate(owners)
        ]
        stands += made
        for kind in REMADE:
            if any(stand.device.kind == kind for stand in made):
                before = season.at(season.first_day - 9, 1140)
                shelf = [shop.device(kind, before) for _ in range(SPARES[kind])]
                shop.spares[line, kind] = shelf
    return stands


Owners = list[tuple[int, str]]  # a set's number along its line, and whose it is


def _all(line: int) -> Owners:
    return list(enumerate((w for w, count in cast.SHARES[line] for _ in range(count)), start=1))


def _few(along: list[SetPlace]) -> Owners:
    """The first sets of each species that the small demo takes."""
    found: Owners = []
    for species, owners in cast.SMALL_SETS.items():
        numbers = [n for n, place in enumerate(along, start=1) if place.species == species]
        found += zip(numbers, owners, strict=False)
    return sorted(found)


def _stand(
    season: Season, chance: Chance, shop: Workshop, place: SetPlace,
    line: int, number: int, who: str, turn: int,
) -> Stand:  # fmt: skip
    species = SPECIES.get(place.species, place.species)
    placement = PLACEMENTS.get(place.placement, place.placement)
    day = season.first_day + turn // PLACED_A_DAY
    if species == "lynx":
        day = max(day, 30)  # its season opens on 1 December
    if placement == "under_ice":
        day = _frozen(season, day)
    minutes = FIRST_MINUTES + (turn % PLACED_A_DAY) * APART_MINUTES + chance.between(0, 9)
    at = season.at(day, minutes)
    return Stand(
        id=chance.id(at),
        place=place,
        line=line,
        label=f"{cast.LINES[line].letter}{number:02}",
        species=species,
        placement=placement,
        who=who,
        device=shop.device(RECIPES[species].kind, season.at(season.first_day - 9, 1140)),
        effect=chance.effect(SHAPE),
        placed_at=at,
        last=at,
        lonlat=(place.lon, place.lat),
        snow_then=season.weather(at, "snow_m"),
    )


def _frozen(season: Season, day: int) -> int:
    days = range(day, season.today - 1)
    return next((d for d in days if season.weather(season.at(d, 720), "ice_m") >= ICE_M), day)
