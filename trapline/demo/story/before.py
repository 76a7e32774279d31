"""Before the season: rules, lines, sign-offs, books, devices; and where the sets are placed."""

from collections import Counter
from datetime import datetime, timedelta
from typing import Any

from trapline.demo import cast
from trapline.demo.rates import RECIPES
from trapline.demo.story.book import Book
from trapline.demo.story.deeds import Ref, member
from trapline.demo.story.settle import settle
from trapline.demo.story.stands import Device, Stand
from trapline.demo.story.turns import DISPATCHER_FROM
from trapline.demo.terrain.model import Terrain

STEP = timedelta(seconds=30)


def before(book: Book, terrain: Terrain, rulebook: dict[str, Any]) -> None:
    """All that has to be there before the first set is placed."""
    season = book.season
    at = season.at(season.first_day - 20, 1110)
    settle(book, terrain, at)
    book.say("aud", at + timedelta(days=1), "take_rulebook", {"document": rulebook})
    for number in sorted({stand.line for stand in book.stands}):
        _draw(book, terrain, number, at + timedelta(days=2))
    _sign_offs(book, at + timedelta(days=5))
    _numbers(book, at + timedelta(days=6))
    _devices(book)
    for stand in book.stands:
        _place(book, stand)


def _draw(book: Book, terrain: Terrain, number: int, at: datetime) -> None:
    line, told = terrain.lines[number], cast.LINES[number]
    body = {
        "line": book.named("line", str(number), at),
        "name": line.name,
        "tz": "America/Whitehorse",
        "travel": told.travel,
        "path": {"type": "LineString", "coordinates": line.geometry["coordinates"]},
    }
    book.say(told.holder, at + number * STEP, "draw_line", body)


def _sign_offs(book: Book, at: datetime) -> None:
    """A manager vouches for the instructors, they for their students; two learn dispatch later."""
    for person in cast.PEOPLE:
        giver = person.instructor or "aud"
        for skill in person.skills:
            at += STEP
            _sign_off(book, giver, person.key, skill, at)
        if "dispatch" in person.skills:
            book.signed[person.key] = 0
    season = book.season
    for key in learn_dispatch(book):
        teacher = cast.BY_KEY[key].instructor
        assert teacher is not None
        day = max(DISPATCHER_FROM, season.first_day + 3)
        _sign_off(book, teacher, key, "dispatch", season.at(day, 1180))
        book.signed[key] = day + 1


def learn_dispatch(book: Book) -> list[str]:
    """The two students with the fewest sets that hold alive; at least one does not learn it."""
    held = Counter(stand.who for stand in book.stands if stand.holding)
    students = sorted({s.who for s in book.stands if not cast.BY_KEY[s.who].leads})
    by_need = sorted(students, key=lambda key: (held[key], key))
    return by_need[: min(2, len(by_need) - 1)]


def _sign_off(book: Book, giver: str, to: str, skill: str, at: datetime) -> None:
    book.say(giver, at, "sign_off", {"member": member(to), "skill": Ref("skill", skill)})


def _numbers(book: Book, at: datetime) -> None:
    for licence in cast.LICENCES:
        for kind, book_of in (("site_tag", licence.site_tags), ("seal", licence.seals)):
            at += STEP
            prefix, first, last = book_of
            body = {"licence": Ref("licence", licence.number), "kind": kind, "prefix": prefix,
                    "first": first, "last": last}  # fmt: skip
            book.say("aud", at, "issue_numbers", body)


def _devices(book: Book) -> None:
    at = book.season.at(book.season.first_day - 9, 1140)
    shelves = [(line, one) for (line, _), shelf in book.shop.spares.items() for one in shelf]
    for line, device in [*((stand.line, stand.device) for stand in book.stands), *shelves]:
        at += STEP
        book.say(cast.LINES[line].holder, at, "build_device", built(device))


def built(device: Device) -> dict[str, Any]:
    """The body of the act that builds a device."""
    parts = [
        {"part": part, "kind": Ref("part_kind", key)}
        for key, ids in device.parts.items()
        for part in ids
    ]
    return {
        "device": device.id, "kind": Ref("kind", device.kind), "mark": device.mark, "parts": parts
    }  # fmt: skip


def _place(book: Book, stand: Stand) -> None:
    line = cast.LINES[stand.line]
    licence = next(one.number for one in cast.LICENCES if one.holder == line.holder)
    recipe = RECIPES[stand.species]
    body: dict[str, Any] = {
        "set": stand.id,
        "line": Ref("line", str(stand.line)),
        "label": stand.label,
        "licence": Ref("licence", licence),
        "place": stand.lonlat,
        "accuracy_m": round(book.chance.between(3, 9), 1),
        "placement": stand.placement,
        "device": stand.device.id,
        "responsible": member(stand.who),
        "targets": [Ref("species", stand.species)],
        "tag": f"{line.letter}T-{stand.place.number:03}",
        "bait": recipe.bait,
        "bait_in_view": False,
        "anchoring": recipe.anchoring,
        "loop_diameter_m": recipe.loop_diameter_m,
        "loop_height_m": recipe.loop_height_m,
        "water_depth_m": recipe.water_depth_m
        if stand.placement in ("water_edge", "submersion", "under_ice")
        else None,
        "snow_depth_m": round(max(0, stand.snow_then), 2) if stand.placement == "land" else None,
    }
    book.say(line.holder, stand.placed_at, "place_set", body)
