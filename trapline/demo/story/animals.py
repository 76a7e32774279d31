"""An animal in a device: an alarm where the finder may not act alone, then a catch."""

from datetime import datetime, timedelta
from functools import cache
from importlib.resources import files
from typing import Any
from uuid import UUID

from trapline.demo import cast
from trapline.demo.rates import ALIVE, HELD_WHERE, SEALED, WEIGHT_KG
from trapline.demo.story.book import Book
from trapline.demo.story.deeds import Ref, member
from trapline.demo.story.stands import Stand, near
from trapline.rulebook.reading import read_file

OFFICER = "Duty officer, Quillback Wildlife Office (invented)"
RELEASED_AS = ("whole, ran off", "whole, slow at first, then gone", "limped a little, gone")
NOTES = (
    "Held well, quiet. I keep away.", "Standing, awake. I stay out of its sight.",
    "Held. Waiting at the bend for whoever comes.", "",
)  # fmt: skip


@cache
def handling(species: str) -> str:
    """What the demo's rulebook says is to be done with a live one."""
    data, _ = read_file(files("trapline.demo").joinpath("rulebook.yaml").read_bytes())
    said = {one["code"]: one["handling"] for one in data["species"]}
    return str(said[species])


def animal(
    book: Book, stand: Stand, at: datetime, who: str, *, target: bool
) -> tuple[str, datetime, dict[str, Any]]:
    """An animal is found: who records the catch, when, and what the check says of it."""
    chance = book.chance
    species = stand.species if target else chance.one_of(stand.recipe.others)
    alive = chance.yes(ALIVE[stand.device.kind])
    rule = handling(species)
    alone = book.may_dispatch(who, book.season.day_of(at))
    waiting: UUID | None = None
    by, then = who, at
    if rule == "leave_and_call" or (alive and rule == "keep" and not alone):
        waiting = alarm(book, stand, at, who, species, alive=alive)
        by, then = _comes(book, who, at, officer=rule == "leave_and_call")
        stand.busy_until = then + timedelta(minutes=30)
    if waiting is not None and alive and rule == "keep" and chance.yes(0.04):
        # It got away before anybody came.
        return by, then, {"found": "sprung_empty", "sign": "target", "done": ["remade"],
                          "ends_waiting": waiting}  # fmt: skip
    said: dict[str, Any] = {
        "found": "animal",
        "catches": [_catch(book, stand, then, by, species, alive)],
    }
    if waiting is not None:
        said["ends_waiting"] = waiting
    return by, then, said


def alarm(book: Book, stand: Stand, at: datetime, who: str, species: str, *, alive: bool) -> UUID:
    """Animal waiting: told at once."""
    waiting = book.new_id(at)
    note = (
        book.chance.one_of(dict.fromkeys(NOTES, 1.0)) if alive else "Dead. I leave it as it lies."
    )
    body = {
        "waiting": waiting,
        "set": stand.id,
        "alive": alive,
        "species": Ref("species", species),
        "note": note,
        "position": near(book.chance, stand.lonlat, 9),
    }
    book.say(who, at, "animal_waiting", body)
    return waiting


def _comes(book: Book, who: str, at: datetime, *, officer: bool) -> tuple[str, datetime]:
    """Who comes, and when: the finder's instructor, or the instructor with the officer."""
    person = cast.BY_KEY[who]
    minutes = book.chance.between(95, 190) if officer else book.chance.between(25, 85)
    # Nobody is left waiting when the story ends but the one who is meant to.
    most = (book.season.now - at) * 0.7
    return person.instructor or who, at + min(timedelta(minutes=minutes), most)


def _catch(
    book: Book, stand: Stand, at: datetime, by: str, species: str, alive: bool
) -> dict[str, Any]:
    chance, rule = book.chance, handling(species)
    said: dict[str, Any] = {
        "animal": book.new_id(at),
        "species": Ref("species", species),
        "sex": chance.one_of({"male": 0.52, "female": 0.40, "unknown": 0.08}),
        "age": chance.one_of({"adult": 0.55, "juvenile": 0.35, "unknown": 0.10}),
        "alive_on_arrival": alive,
        "held_where": chance.one_of(dict.fromkeys(HELD_WHERE[stand.device.kind], 1.0)),
        "device_tag": f"{cast.LINES[stand.line].letter}T-{stand.place.number:03}",
    }
    if rule == "leave_and_call":
        number = 1000 + int(at.timestamp() // 60) % 9000
        return said | {"fate": "handed_to", "handed_to": OFFICER, "reference": f"QWO/{number}"}
    if alive and rule == "release":
        condition = chance.one_of(dict(zip(RELEASED_AS, (6.0, 2.0, 1.0), strict=True)))
        return said | {"fate": "released", "condition": condition}
    if alive:
        said |= {"fate": "dispatched", "means": "as taught", "dispatched_by": member(by)}
    else:
        said |= {"fate": "found_dead"}
    if rule == "keep":
        said |= _accounted(book, stand, species)
    return said


def _accounted(book: Book, stand: Stand, species: str) -> dict[str, Any]:
    """Its weight, if somebody had a scale, and its numbers from the licence's books."""
    holder = cast.LINES[stand.line].holder
    found: dict[str, Any] = {"site_tag": book.number(holder, "site_tag")}
    if species in SEALED:
        found["seal"] = book.number(holder, "seal")
    if book.chance.yes(0.75):
        mean = WEIGHT_KG[species]
        found["weight_kg"] = round(max(mean * 0.5, book.chance.around(mean, mean * 0.14)), 2)
    return found
